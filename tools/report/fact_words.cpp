#include "tools/report/fact_words.hpp"

#include <array>

#include "tools/report/quantities.hpp"
#include "tools/report/scan_words.hpp"

namespace flitchwise::report {
namespace {

struct FactWords {
  Units units;
  const std::vector<std::string>& names;

  std::string operator()(const scan::ScanFact& fact) const { return words(fact, units, names); }
  std::string operator()(const PithNotMeasured& fact) const {
    return std::string("The pith of the ") + (fact.large_end ? "large" : "small") +
           " end was not measured and is assumed in its middle: set that mark by the top and bottom of the "
           "end.";
  }
  std::string operator()(const GreenSize& fact) const {
    const auto fine = [&](double length_m) {
      return units == Units::inches ? inches(length_m) : plain(length_m * kMmAMetre);
    };
    const std::string unit = ' ' + unit_name(units);
    constexpr double kPercent = 100;
    return "To be " + fine(fact.dry_thickness_m) + " x " + fine(fact.dry_width_m) + unit + " when dry (" +
           plain(fact.moisture_percent) + " % moisture) and planed, a board is sawn green at " +
           fine(fact.green_thickness_m) + " x " + fine(fact.green_width_m) + unit + ": it shrinks by " +
           plain(kPercent * fact.shrinkage_share) + " % across the grain (" + words(fact.shrinkage_source) +
           "), planing takes " + fine(fact.planing_m) + unit + " and the saw may be off by " +
           fine(fact.saw_variation_m) + unit + " (both common practice, no source).";
  }
  std::string operator()(const PieceOfLog& fact) const {
    return std::string("This is the piece with the log's ") + (fact.small_end ? "small" : "large") +
           " end: first cut the log in two, " + length_text(units, fact.cut_x_m) + " from its small end.";
  }
  std::string operator()(const Unreadable& fact) const {
    const bool inside = fact.why.starts_with('/');  // a file of a folder of depth images
    return (names.empty() ? "The scan" : names.front()) + (inside ? "" : " ") + fact.why;
  }
  std::string operator()(const Told& fact) const { return fact.words; }

 private:
  /// A number from 0 to 100, three digits that count.
  static std::string plain(double number) {
    constexpr double kOneDigit = 10;
    std::string text = fixed(number, number < kOneDigit ? 2 : 1);
    text.erase(text.find_last_not_of('0') + 1);
    return text.ends_with('.') ? text.substr(0, text.size() - 1) : text;
  }
};

}  // namespace

std::string words(const Fact& fact, Units units, const std::vector<std::string>& scan_names) {
  return std::visit(FactWords{units, scan_names}, fact);
}

std::string words(const StageReport& stage) {
  if (stage.stage == Stage::reading) {
    constexpr double kPercent = 100;
    return (stage.scans == 1 ? "reading the scan" : "reading scan " + std::to_string(stage.scan + 1)) +
           (stage.share > 0 ? ", " + fixed(kPercent * stage.share, 0) + " %" : "");
  }
  constexpr std::array kNames = {"",
                                 "laying the scans onto each other",
                                 "finding the log",
                                 "fitting its shape",
                                 "searching the best cuts",
                                 "setting up the rail",
                                 "looking for what would give one more board",
                                 "looking for the place to cut the log in two",
                                 "setting up the rail on each piece"};
  return kNames.at(static_cast<std::size_t>(stage.stage));
}

}  // namespace flitchwise::report
