#include "tools/app/request_options.hpp"

#include <array>

#include "scan/model/errors.hpp"
#include "scan/model/units.hpp"
#include "solver/plan/board_size.hpp"
#include "tools/job/dry_size.hpp"

namespace flitchwise {
namespace {

/// "1:12", "1 in 12" or a plain "0.083".
double slope_of(const std::string& text, const std::string& name) {
  std::array<double, 2> run{1, 1};
  std::string plain = text;
  if (const std::size_t in = plain.find(" in "); in != std::string::npos) {
    plain.replace(in, 4, ":");
  }
  const bool read = read_numbers(plain, ":", run) || (run[1] = 1, read_numbers(plain, "", run));
  const double slope = run[0] / run[1];
  require(read && slope > 0 && range_of<&solver::SearchOptions::most_grain_slope>().holds(slope),
          name + " is '" + text + "', but must be a slope such as 1:12, not steeper than 1:1");
  return slope;
}

/// "10%", "10 %" or "0.1".
double wane_of(const std::string& text, const std::string& name) {
  constexpr double kPercent = 100;
  std::string plain = text;
  std::erase(plain, ' ');
  const bool percent = plain.ends_with('%');
  std::array<double, 1> number{};
  const bool read = read_numbers(percent ? plain.substr(0, plain.size() - 1) : plain, "", number);
  const double share = percent ? number[0] / kPercent : number[0];
  require(read && range_of<&solver::Target::wane_share>().holds(share),
          name + " is '" + text + "', but must be a share such as 10%, less than 50%");
  return share;
}

/// "small=142,150" into the place of that end.
void read_pith(const std::string& text, PithByTape& pith) {
  const bool small = text.starts_with("small=");
  std::array<double, 2> place{};
  require(
      (small || text.starts_with("large=")) &&
          read_numbers(std::string_view(text).substr(text.find('=') + 1), ",", place) && place[0] > 0 &&
          place[1] > 0,
      "--pith is '" + text +
          "', but must be small=TOP,LEFT or large=TOP,LEFT in mm, for example small=142,150: down from the "
          "top of that end and in from its left edge, as you face it before the log is rolled");
  auto& end = small ? pith.small_end : pith.large_end;
  require(!end, std::string("--pith is given twice for the ") + (small ? "small" : "large") + " end");
  end = {place[0] / kMmAMetre, place[1] / kMmAMetre};
}

}  // namespace

void add_scan_options(CLI::App& command, ScanRequest& scan) {
  command
      .add_option_function<std::vector<std::string>>(
          "SCAN",
          [&scan](const std::vector<std::string>& files) {
            for (const std::string& file : files) {
              scan.files.push_back({file});
            }
          },
          "Scan file: points in PLY, PCD, LAS, E57, OBJ or XYZ text, a mesh in PLY, OBJ, STL, glTF or "
          "GLB, or a folder of depth frames; several of one log, lying as it lay, are merged")
      ->required();
  add_kind_options(command, scan);
  add_number<&ScanRequest::scale_length_m>(command, "--scale-length", scan,
                                           "The log's length by tape in mm; settles the scale");
  add_text(command, "--scale-points", scan.scale_points, scale_points_of,
           "Two points of the file and their true distance in mm, X1,Y1,Z1:X2,Y2,Z2=MM; settles the scale "
           "without --scale-length");
  add_text(command, "--near", scan.near_in_file, point_of,
           "A point on the log that is meant, as X,Y,Z in the file's coordinates, when several would do");
}

void add_kind_options(CLI::App& command, ScanRequest& scan) {
  add_number<&ScanRequest::bark_m>(command, "--bark", scan, "Bark thickness in mm, measured at the ends");
  add_text(command, "--species", scan.species, species_of,
           "Species, for bark thickness and weight, e.g. larch");
  add_text(command, "--unit", scan.metres_per_unit, unit_of,
           "Unit of the file: m (taken where the file is silent), cm, mm, ft or in");
  add_text(command, "--up", scan.up, up_of, "Axis of the file that points up: z, y, x, -z, -y or -x");
  command.add_flag("--allow-unseen-ends", scan.allow_unseen_ends,
                   "Take only the part that was seen when an end is missing from the scan");
}

void add_board_options(CLI::App& command, WantedBoards& wanted) {
  command
      .add_option("--board", wanted.sizes,
                  "Board wanted, rough: thickness x width x length in mm, e.g. 50x150x3000; once for each "
                  "size; =VALUE behind it says what one is worth, e.g. 50x150x3000=12.5")
      ->allow_extra_args(false);  // else it would swallow a SCAN that follows it
  command
      .add_option("--dry", wanted.dry,
                  "Board wanted dry and planed, in mm, e.g. 45x145x3000, or an American size, e.g. nominal "
                  "2x6x3000; the green size to saw is worked out by --species and --moisture")
      ->allow_extra_args(false);
  add_number<&GreenSizeOptions::moisture_percent>(command, "--moisture", wanted.green,
                                                  "Moisture of the finished board in %, for --dry");
}

void add_cutting_options(CLI::App& command, solver::SearchOptions& search, double& wane_share) {
  using Options = solver::SearchOptions;
  using solver::Pattern;
  add_choice<Pattern>(command, "--pattern", search.pattern,
                      {{"live", Pattern::live}, {"cant", Pattern::cant}, {"best", Pattern::best}},
                      "live: all cuts parallel (default); cant: a cant is sawn out and turned a quarter; "
                      "best: whichever gives more");
  command.add_flag("--as-it-lies", search.as_it_lies, "Do not roll the log");
  add_number<&Options::roll_only_rad>(command, "--roll-only", search,
                                      "The only rolls that the log can rest at, in degrees clockwise seen "
                                      "from the small end, e.g. 0,90,180");
  add_number<&Options::keep_pith_out_m>(command, "--keep-pith-out", search,
                                        "No board may hold a part of a zone this wide in mm around the pith");
  add_text(command, "--max-grain-slope", search.most_grain_slope, slope_of,
           "Steepest slope of a board's face to the pith line, e.g. 1:12");
  add_text(command, "--wane", wane_share, wane_of,
           "Share of thickness and width that may be missing at a long edge, e.g. 10% (default 0)");
  add_number<&Options::sigmas>(command, "--confidence", search,
                               "Keep inside the wood by this many standard deviations of its surface");
}

void add_pith_option(CLI::App& command, PithByTape& pith) {
  command
      .add_option_function<std::vector<std::string>>(
          "--pith",
          [&pith](const std::vector<std::string>& ends) {
            for (const std::string& end : ends) {
              read_pith(end, pith);
            }
          },
          "Pith by tape: small=TOP,LEFT and large=TOP,LEFT, mm down from the top of that end and in from its "
          "left edge, as you face it before the log is rolled")
      ->allow_extra_args(false);
}

void add_paper_options(CLI::App& command, report::Settings& settings) {
  using report::Paper;
  using report::Units;
  add_choice<Units>(
      command, "--units", settings.units, {{"mm", Units::millimetres}, {"in", Units::inches}},
      "Units of the sheet and of what is printed: mm (default), or in for inches to the nearest 1/16");
  add_choice<Paper>(command, "--paper", settings.paper, {{"a4", Paper::a4}, {"letter", Paper::letter}},
                    "Paper of the sheet: a4 (default) or letter");
  command.add_flag("--templates", settings.templates, "Also write both end faces at 1:1, to pin on the log");
}

void set_targets(const WantedBoards& wanted, double wane_share, PlanRequest& request) {
  require(!wanted.sizes.empty() || !wanted.dry.empty(),
          "--board is required, or --dry: name the board that you want, for example --board 50x150x3000; see "
          "flitchwise plan --help");
  for (const std::string& size : wanted.dry) {
    GreenTarget green = green_target(size, request.scan.species, wanted.green.moisture_percent);
    request.targets.push_back(std::move(green.target));
    request.notes.emplace_back(green.size);
  }
  for (const std::string& size : wanted.sizes) {
    request.targets.push_back(solver::board_size(size));
    request.targets.back().wane_share = wane_share;
  }
  solver::check(request.targets);
}

}  // namespace flitchwise
