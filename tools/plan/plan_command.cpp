#include "plan/plan_command.hpp"

#include <algorithm>
#include <cctype>
#include <chrono>
#include <iostream>
#include <map>
#include <memory>
#include <sstream>

#include "flitchwise/errors.hpp"
#include "flitchwise/species.hpp"
#include "plan/board_size.hpp"
#include "plan/plan_log.hpp"

namespace flitchwise {
namespace {

// Exit codes of the command line (0: done, 1: bad use, 2: unreadable are set by the program).
constexpr int scan_will_not_do = 3;
constexpr int no_board_fits = 4;
constexpr double kMmAMetre = 1000;

/// What an option's number may be. The libraries check the same in their own units; here the text names the
/// option as the person wrote it.
struct Limits {
  const char* option;
  double least;
  double most;
  const char* unit;
};
constexpr Limits kKerf{"--kerf", 0, 50, " mm"};
constexpr Limits kBark{"--bark", 0, 150, " mm"};
constexpr Limits kScaleLength{"--scale-length", 300, 30000, " mm"};
constexpr Limits kConfidence{"--confidence", 0, 5, ""};
constexpr Limits kTimeLimit{"--time-limit", 0.001, 86400, " s"};

void require_within(const Limits& limits, double value) {
  std::ostringstream text;
  text << limits.option << " is " << value << limits.unit << ", but must lie between " << limits.least
       << " and " << limits.most << limits.unit;
  require(value >= limits.least && value <= limits.most, text.str());  // false for a NaN too
}

/// The options as the person writes them: millimetres and words.
struct Words {
  std::string scan;
  std::vector<std::string> boards;
  std::string kit;
  double kerf_mm = 0;
  double bark_mm = 0;
  double scale_length_mm = 0;
  std::string unit = "m";
  std::string up;
  std::string out = "flitchwise-out";
  PlanRequest request;
};

const std::map<std::string, double>& units() {
  static const std::map<std::string, double> metres = {
      {"m", 1}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}};
  return metres;
}

const std::map<std::string, Eigen::Vector3d>& axes() {
  static const std::map<std::string, Eigen::Vector3d> directions = {
      {"x", {1, 0, 0}},   {"+x", {1, 0, 0}}, {"-x", {-1, 0, 0}}, {"y", {0, 1, 0}},  {"+y", {0, 1, 0}},
      {"-y", {0, -1, 0}}, {"z", {0, 0, 1}},  {"+z", {0, 0, 1}},  {"-z", {0, 0, -1}}};
  return directions;
}

template <typename Value>
Value chosen(const std::map<std::string, Value>& choices, const std::string& option,
             const std::string& word) {
  std::string lower = word;
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  const auto found = choices.find(lower);
  if (found == choices.end()) {
    std::string known;
    for (const auto& [name, value] : choices) {
      known += (known.empty() ? "" : ", ") + name;
    }
    throw BadUse(option + " is '" + word + "', but must be one of " + known);
  }
  return found->second;
}

PlanRequest request_of(const Words& words, const CLI::App& command) {
  PlanRequest request = words.request;
  request.scan = words.scan;
  require(words.boards.size() == 1, "give one --board; several sizes at once cannot be planned yet");
  require(!words.out.empty(), "--out is empty; name a folder for the files, or leave it out");
  request.target = board_size(words.boards.front());
  request.metres_per_unit = chosen(units(), "--unit", words.unit);
  const auto given = [&](const char* option) { return command.count(option) > 0; };
  if (given("--kit")) {
    request.kit = words.kit;
  }
  if (given("--kerf")) {
    require_within(kKerf, words.kerf_mm);
    request.kerf_m = words.kerf_mm / kMmAMetre;
  }
  if (given("--bark")) {
    require_within(kBark, words.bark_mm);
    request.bark_m = words.bark_mm / kMmAMetre;
  }
  if (given("--scale-length")) {
    require_within(kScaleLength, words.scale_length_mm);
    request.scale_length_m = words.scale_length_mm / kMmAMetre;
  }
  if (given("--up")) {
    request.up = chosen(axes(), "--up", words.up);
  }
  require(request.species.empty() || find_species(request.species).has_value(),
          "--species '" + request.species +
              "' is not in the table; name another one, for example larch, or leave it out and give the bark "
              "thickness with --bark");
  require_within(kConfidence, request.search.sigmas);
  require_within(kTimeLimit, request.search.time_limit_s);
  return request;
}

/// Names the stage that is under way on stderr, once the whole has taken more than a second.
class Progress {
 public:
  void operator()(std::string_view stage) const {
    constexpr std::chrono::seconds kPatience{1};
    if (std::chrono::steady_clock::now() - start_ > kPatience) {
      std::cerr << "... " << stage << '\n';
    }
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

int run(const Words& words, const CLI::App& command) {
  const PlanRequest request = request_of(words, command);
  const PlannedLog planned = plan_log(request, Progress());
  if (planned.outcome == PlannedLog::Outcome::scan_will_not_do) {
    std::cerr << "flitchwise: " << planned.message << '\n';
    return scan_will_not_do;
  }
  if (planned.outcome == PlannedLog::Outcome::no_board_fits) {
    std::cerr << "flitchwise: " << planned.message << '\n';
    return no_board_fits;
  }
  const report::Report report{planned.scan,      planned.log,   planned.plan,
                              planned.tolerance, planned.sheet, planned.warnings};
  const auto files = report::write_report(report, words.out);
  std::cout << report::short_answer(report) << "\nWritten:\n";
  for (const auto& file : files) {
    std::cout << "  " << file.string() << '\n';
  }
  return 0;
}

void add_options(CLI::App& command, Words& words) {
  command.add_option("SCAN", words.scan, "Scan file: PLY, PCD or XYZ text")->required();
  command
      .add_option("--board", words.boards,
                  "Board wanted, rough: thickness x width x length in mm, e.g. 50x150x3000")
      ->allow_extra_args(false)  // else it would swallow a SCAN that follows it
      ->required();
  command.add_option("--kit", words.kit,
                     "Your equipment: a kit file (TOML); a plain kit is assumed without one");
  command.add_option("--kerf", words.kerf_mm, "Width of the saw cut in mm, if not the kit's");
  command.add_option("--bark", words.bark_mm, "Bark thickness in mm, measured at the ends");
  command.add_option("--species", words.request.species,
                     "Species, for bark thickness and weight, e.g. larch");
  command.add_option("--scale-length", words.scale_length_mm,
                     "The log's length by tape in mm; settles the scale");
  command.add_option("--unit", words.unit, "Unit of the file: m (default), cm, mm, ft or in");
  command.add_option("--up", words.up, "Axis of the file that points up: z, y, x, -z, -y or -x");
  command.add_flag("--as-it-lies", words.request.search.as_it_lies, "Do not roll the log");
  command.add_option("--confidence", words.request.search.sigmas,
                     "Keep inside the wood by this many standard deviations of its surface (default 2)");
  command.add_option("--time-limit", words.request.search.time_limit_s, "Seconds for the proof (default 30)");
  command.add_flag("--allow-unseen-ends", words.request.allow_unseen_ends,
                   "Plan only the part that was seen when an end is missing from the scan");
  command.add_option("--out", words.out, "Folder for the files (default flitchwise-out)");
}

}  // namespace

void add_plan_command(CLI::App& app, int& exit_code) {
  CLI::App* command = app.add_subcommand("plan", "Plan the cuts of a scanned log and the setup of the rail");
  const auto words = std::make_shared<Words>();
  add_options(*command, *words);
  command->callback([words, command, &exit_code] { exit_code = run(*words, *command); });
}

}  // namespace flitchwise
