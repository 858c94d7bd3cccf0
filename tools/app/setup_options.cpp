#include "tools/app/setup_options.hpp"

#include <charconv>
#include <cmath>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"

namespace flitchwise {
namespace {

[[noreturn]] void reject_pith(const std::string& text) {
  throw BadUse(
      "--pith is '" + text +
      "', but must be small=TOP,LEFT or large=TOP,LEFT in mm, for example small=142,150: down from the top "
      "of that end and in from its left edge, as you face it before the log is rolled");
}

/// A positive number of millimetres that fills the whole text, in metres.
double metres_of(const std::string& text, const std::string& option) {
  double value_mm = 0;
  const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), value_mm);
  if (error != std::errc() || rest != text.data() + text.size() || !std::isfinite(value_mm) ||
      value_mm <= 0) {
    reject_pith(option);
  }
  return value_mm / kMmAMetre;
}

void read_pith(const std::string& text, PithByTape& pith) {
  const std::size_t equals = text.find('=');
  const std::size_t comma = text.find(',');
  if (equals == std::string::npos || comma == std::string::npos || comma < equals) {
    reject_pith(text);
  }
  const std::string end = text.substr(0, equals);
  if (end != "small" && end != "large") {
    reject_pith(text);
  }
  auto& place = end == "small" ? pith.small_end : pith.large_end;
  require(!place.has_value(), "--pith is given twice for the " + end + " end");
  place = {metres_of(text.substr(equals + 1, comma - equals - 1), text),
           metres_of(text.substr(comma + 1), text)};
}

}  // namespace

void add_setup_options(CLI::App& command, SetupWords& words) {
  command
      .add_option(
          "--pith", words.pith,
          "Pith by tape: small=TOP,LEFT and large=TOP,LEFT, mm down from the top of that end and in from its "
          "left edge, as you face it before the log is rolled")
      ->allow_extra_args(false);
  add_paper_options(command, words);
}

void add_paper_options(CLI::App& command, SetupWords& words) {
  command.add_option(
      "--units", words.units,
      "Units of the sheet and of what is printed: mm (default), or in for inches to the nearest 1/16");
  command.add_option("--paper", words.paper, "Paper of the sheet: a4 (default) or letter");
  command.add_flag("--templates", words.templates, "Also write both end faces at 1:1, to pin on the log");
}

PithByTape pith_of(const SetupWords& words) {
  PithByTape pith;
  for (const std::string& text : words.pith) {
    read_pith(text, pith);
  }
  return pith;
}

report::Settings settings_of(const SetupWords& words) {
  report::Settings settings;
  require(words.units == "mm" || words.units == "in",
          "--units is '" + words.units + "', but must be mm or in");
  settings.units = words.units == "in" ? report::Units::inches : report::Units::millimetres;
  require(words.paper == "a4" || words.paper == "letter",
          "--paper is '" + words.paper + "', but must be a4 or letter");
  settings.paper = words.paper == "letter" ? report::Paper::letter : report::Paper::a4;
  settings.templates = words.templates;
  return settings;
}

}  // namespace flitchwise
