#include "tools/app/search_options.hpp"

#include <charconv>
#include <cmath>
#include <map>
#include <numbers>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "solver/plan/board_size.hpp"
#include "tools/job/option_values.hpp"

namespace flitchwise {
namespace {

constexpr double kPercent = 100;
constexpr Limits kConfidence{"--confidence", 0, 5, ""};
constexpr Limits kMoisture{"--moisture", 0, 60, " %"};
constexpr Limits kTimeLimit{"--time-limit", 0.001, 86400, " s"};
constexpr Limits kPith{"--keep-pith-out", 0, 500, " mm"};
constexpr Limits kShort{"--short-lengths", 100, 30000, " mm"};
constexpr Limits kRoll{"--roll-only", -360, 360, " degrees"};

/// The whole text as a number; not a number if it is none.
double number_in(const std::string& text) {
  double value = 0;
  const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && rest == text.data() + text.size() ? value : std::nan("");
}

const std::map<std::string, solver::Pattern>& patterns() {
  static const std::map<std::string, solver::Pattern> names = {
      {"live", solver::Pattern::live}, {"cant", solver::Pattern::cant}, {"best", solver::Pattern::best}};
  return names;
}

/// "1:12", "1 in 12" or a plain "0.083".
double slope_of(const std::string& text) {
  const std::string wrong =
      "--max-grain-slope is '" + text + "', but must be a slope such as 1:12, not steeper than 1:1";
  double slope = number_in(text);
  for (const std::string between : {":", " in "}) {
    if (const std::size_t at = text.find(between); at != std::string::npos) {
      slope = number_in(text.substr(0, at)) / number_in(text.substr(at + between.size()));
    }
  }
  require(slope > 0 && slope <= 1, wrong);
  return slope;
}

/// "10%", "10 %" or "0.1".
double wane_of(std::string text) {
  const std::string wrong = "--wane is '" + text + "', but must be a share such as 10%, less than 50%";
  std::erase(text, ' ');
  const bool percent = text.ends_with('%');
  const double number = number_in(percent ? text.substr(0, text.size() - 1) : text);
  const double share = percent ? number / kPercent : number;
  require(share >= 0 && share < 1. / 2, wrong);
  return share;
}

}  // namespace

void add_search_options(CLI::App& command, SearchWords& words) {
  command
      .add_option("--board", words.boards,
                  "Board wanted, rough: thickness x width x length in mm, e.g. 50x150x3000; once for each "
                  "size; =VALUE behind it says what one is worth, e.g. 50x150x3000=12.5")
      ->allow_extra_args(false);  // else it would swallow a SCAN that follows it
  command
      .add_option("--short-lengths", words.short_lengths_mm,
                  "Lengths in mm of shorter boards that are welcome from what the full-length boards leave "
                  "(jackets, edges, ends), e.g. 2000,1500")
      ->delimiter(',')
      ->allow_extra_args(false);
  command
      .add_option("--dry", words.dry,
                  "Board wanted dry and planed, in mm, e.g. 45x145x3000, or an American size, e.g. nominal "
                  "2x6x3000; the green size to saw is worked out by --species and --moisture")
      ->allow_extra_args(false);
  command.add_option("--moisture", words.moisture_percent,
                     "Moisture of the finished board in % (default 18), for --dry");
  add_cutting_options(command, words);
  command.add_option("--time-limit", words.time_limit_s, "Seconds for the proof (default 30)");
}

void add_cutting_options(CLI::App& command, SearchWords& words) {
  command.add_option("--pattern", words.pattern,
                     "live: all cuts parallel (default); cant: a cant is sawn out and turned a quarter; "
                     "best: whichever gives more");
  command.add_flag("--as-it-lies", words.as_it_lies, "Do not roll the log");
  command
      .add_option("--roll-only", words.roll_only_deg,
                  "The only rolls that the log can rest at, in degrees clockwise seen from the small end, "
                  "e.g. 0,90,180")
      ->delimiter(',')
      ->allow_extra_args(false);
  command.add_option("--keep-pith-out", words.keep_pith_out_mm,
                     "No board may hold a part of a zone this wide in mm around the pith");
  command.add_option("--max-grain-slope", words.most_grain_slope,
                     "Steepest slope of a board's face to the pith line, e.g. 1:12");
  command.add_option("--wane", words.wane,
                     "Share of thickness and width that may be missing at a long edge, e.g. 10% (default 0)");
  command.add_option("--confidence", words.sigmas,
                     "Keep inside the wood by this many standard deviations of its surface (default 2)");
}

std::vector<GreenTarget> green_targets_of(const SearchWords& words, const std::string& species) {
  require_within(kMoisture, words.moisture_percent);
  std::vector<GreenTarget> green;
  for (const std::string& dry : words.dry) {
    green.push_back(green_target(dry, species, words.moisture_percent));
  }
  return green;
}

double wane_share_of(const SearchWords& words) {
  return words.wane.empty() ? 0 : wane_of(words.wane);
}

std::vector<solver::Target> targets_of(const SearchWords& words, const std::vector<GreenTarget>& green) {
  std::vector<solver::Target> targets;
  require(!words.boards.empty() || !green.empty(),
          "--board is required, or --dry: name the board that you want, for example --board 50x150x3000; see "
          "flitchwise plan --help");
  for (const GreenTarget& each : green) {
    targets.push_back(each.target);
  }
  for (const std::string& board : words.boards) {
    targets.push_back(solver::board_size(board));
    targets.back().wane_share = wane_share_of(words);
  }
  solver::check(targets);
  return targets;
}

solver::SearchOptions search_options_of(const SearchWords& words) {
  require_within(kConfidence, words.sigmas);
  require_within(kTimeLimit, words.time_limit_s);
  require_within(kPith, words.keep_pith_out_mm);
  solver::SearchOptions options;
  options.pattern = chosen(patterns(), "--pattern", words.pattern);
  options.as_it_lies = words.as_it_lies;
  for (const double roll_deg : words.roll_only_deg) {
    require_within(kRoll, roll_deg);
    options.roll_only_rad.push_back(roll_deg * kRadADegree);
  }
  options.keep_pith_out_m = words.keep_pith_out_mm / kMmAMetre;
  if (!words.most_grain_slope.empty()) {
    options.most_grain_slope = slope_of(words.most_grain_slope);
  }
  for (const double length_mm : words.short_lengths_mm) {
    require_within(kShort, length_mm);
    options.short_lengths_m.push_back(length_mm / kMmAMetre);
  }
  options.sigmas = words.sigmas;
  options.time_limit_s = words.time_limit_s;
  return options;
}

}  // namespace flitchwise
