#include "tools/report/report.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <clocale>
#include <fstream>
#include <locale>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "scan/model/errors.hpp"
#include "tests/tools/report_fixture.hpp"
#include "tools/report/page.hpp"
#include "tools/report/paint/picture.hpp"
#include "tools/report/paint/write_report.hpp"
#include "tools/report/plan_json.hpp"
#include "tools/report/short_answer.hpp"
#include "tools/report/tables.hpp"

using namespace flitchwise;
using namespace flitchwise::report;
using namespace flitchwise::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Json = nlohmann::json;

namespace {

constexpr double kTenth_mm = 0.051;  // what rounding to 0.1 mm may change

std::set<std::string> keys(const Json& object) {
  std::set<std::string> names;
  for (const auto& item : object.items()) {
    names.insert(item.key());
  }
  return names;
}

using Names = std::set<std::string>;

std::vector<std::vector<std::string>> csv_rows(const std::string& text) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    rows.emplace_back(1);
    bool quoted = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
      if (line[i] == '"') {
        quoted = !quoted;
        if (quoted && i > 0 && line[i - 1] == '"') {
          rows.back().back() += '"';
        }
      } else if (line[i] == ',' && !quoted) {
        rows.back().emplace_back();
      } else {
        rows.back().back() += line[i];
      }
    }
  }
  return rows;
}

/// A number format with a decimal comma and dots between thousands.
class CommaNumbers : public std::numpunct<char> {
 protected:
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

class CommaLocale {
 public:
  CommaLocale() : before_(std::locale::global(std::locale(std::locale::classic(), new CommaNumbers))) {
    std::setlocale(LC_ALL, "de_DE.UTF-8");  // where it is installed
  }
  ~CommaLocale() {
    std::locale::global(before_);
    std::setlocale(LC_ALL, "C");
  }
  CommaLocale(const CommaLocale&) = delete;
  CommaLocale& operator=(const CommaLocale&) = delete;

 private:
  std::locale before_;
};

/// An empty directory that is removed at the end.
class TemporaryDirectory {
 public:
  TemporaryDirectory()
      : path_(std::filesystem::temp_directory_path() /
              ("flitchwise_report_test_" + std::to_string(getpid()))) {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
  }
  ~TemporaryDirectory() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  TemporaryDirectory(const TemporaryDirectory&) = delete;
  TemporaryDirectory& operator=(const TemporaryDirectory&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

Names names_in(const std::filesystem::path& directory) {
  Names names;
  for (const auto& entry : std::filesystem::directory_iterator(directory)) {
    names.insert(entry.path().filename().string());
  }
  return names;
}

}  // namespace

TEST_CASE("plan.json has the keys of its format and no others") {
  const ReportedLog made = made_by_hand();
  const Json json = Json::parse(plan_json(made.report()));
  CHECK(keys(json) == Names{"format", "version", "scan", "frame", "log", "opening", "proof", "boards",
                            "short_boards", "cuts", "supports", "setup", "advice", "warnings"});
  CHECK(keys(json["setup"]) == Names{"kit", "opening_reason", "bark_walk_mm", "small_end", "large_end",
                                     "rail_positions", "high_spots", "screw_faults", "brackets",
                                     "rail_sag_mm", "edging", "cant_rails", "balance", "log_weight_kg"});
  CHECK(json["format"] == "flitchwise-plan");
  CHECK(json["version"] == 1);
  CHECK(keys(json["scan"]) == Names{"file", "points_read", "scale", "scale_source", "up_source"});
  CHECK(keys(json["frame"]) ==
        Names{"origin_file", "axes_file", "file_units_per_mm", "origin_scan_mm", "axes_scan"});
  CHECK(keys(json["log"]) == Names{"length_mm", "small_end_diameter_mm", "large_end_diameter_mm", "sweep_mm",
                                   "volume_m3", "seen_share", "bark_mm", "residual_mm", "pith", "knots",
                                   "stations"});
  CHECK(keys(json["opening"]) == Names{"roll_deg", "plane", "extra_cut_mm", "height_small_end_mm",
                                       "height_large_end_mm", "tolerance_small_end_mm",
                                       "tolerance_large_end_mm", "tolerance_roll_deg", "rail_height_mm"});
  CHECK(keys(json["opening"]["plane"]) == Names{"point_mm", "normal"});
  CHECK(keys(json["proof"]) == Names{"boards", "upper_bound", "value", "upper_value", "tolerance_mm",
                                     "proven", "margin_bound_mm", "margin_proven"});
  CHECK(keys(json["boards"][0]) ==
        Names{"id", "target", "size_mm", "corners_mm", "flitch", "on_edge", "grain_slope", "margin_mm"});
  CHECK(keys(json["cuts"][0]) ==
        Names{"order", "kind", "piece", "rests_on", "plane", "saw_depth_mm", "width_mm"});
  CHECK(keys(json["supports"][0]) == Names{"rail_position", "support", "x_mm", "y_left_mm", "y_right_mm",
                                           "gap_left_mm", "gap_right_mm", "string_mm", "status"});
}

/// Made by hand, with one shorter board out of the top jacket.
ReportedLog with_short_board() {
  ReportedLog made = made_by_hand();
  made.plan.options.short_lengths_m = {2.0};
  solver::ShortBoard board;
  board.id = "s1";
  board.length_m = 2.0;
  for (Eigen::Vector3d& corner : board.corners_m) {
    corner = {1, 0, 0.1};
  }
  made.plan.short_boards = {board};
  return made;
}

TEST_CASE("shorter boards are told apart from the plan's boards") {
  const ReportedLog made = with_short_board();
  const Json json = Json::parse(plan_json(made.report()));
  CHECK(json["boards"].size() == 2);
  CHECK(json["proof"]["boards"] == 2);
  REQUIRE(json["short_boards"].size() == 1);
  CHECK(json["short_boards"][0]["size_mm"] == Json({50.0, 150.0, 2000.0}));
  CHECK(json["short_boards"][0]["source"] == "top jacket");
  CHECK(json["short_boards"][0]["flitch"].is_null());
  const std::string text = short_answer(made.report());
  CHECK_THAT(text, Catch::Matchers::StartsWith("2 boards of 50x150x3000 mm"));
  CHECK_THAT(text, Contains("Besides, 1 shorter board from jackets, edges and ends: 1 of 50x150x2000 mm."));
  ReportedLog none = made_by_hand();
  CHECK_THAT(short_answer(none.report()), !Contains("horter board"));
  none.plan.options.short_lengths_m = {2.0};
  CHECK_THAT(short_answer(none.report()), Contains("No shorter boards come out of what is left."));
}

TEST_CASE("the numbers of plan.json are those of the plan") {
  const ReportedLog made = made_by_hand();
  const Json json = Json::parse(plan_json(made.report()));
  CHECK(json["scan"]["points_read"] == 1'234'567);
  CHECK(json["scan"]["scale"] == 0.001);
  CHECK_THAT(json["frame"]["origin_scan_mm"][0].get<double>(), WithinAbs(1234.5678, 0.006));
  CHECK(json["frame"]["axes_scan"] == Json({{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}));
  // The file's unit is the millimetre and its axes are the scan's.
  CHECK(json["frame"]["file_units_per_mm"] == 1);
  CHECK_THAT(json["frame"]["origin_file"][0].get<double>(), WithinAbs(1234.5678, 1e-9));
  CHECK(json["frame"]["axes_file"] == json["frame"]["axes_scan"]);
  CHECK(json["log"]["length_mm"] == 3100.0);
  CHECK_THAT(json["log"]["volume_m3"].get<double>(), WithinAbs(made.log.volume_m3(), 6e-5));
  CHECK(json["log"]["knots"][0]["height_mm"] == 31.0);
  REQUIRE(json["log"]["stations"].size() == made.log.stations.size());
  const Json& station = json["log"]["stations"][2];
  CHECK(station["bark_radius_mm"].size() == 8);
  CHECK_THAT(station["bark_radius_mm"][3].get<double>(),
             WithinAbs(made.log.stations[2].bark_radius_m[3] * 1000, kTenth_mm));
  CHECK(station["seen"][0] == 1);
  CHECK(json["opening"]["roll_deg"] == 0.0);
  CHECK(json["opening"]["plane"]["point_mm"] == Json({1500.0, 0.0, 92.5}));
  CHECK(json["opening"]["height_large_end_mm"] == -12.5);
  CHECK(json["opening"]["tolerance_large_end_mm"] == 13.1);
  CHECK(json["opening"]["rail_height_mm"] == 120.0);
  CHECK(json["proof"] == Json({{"boards", 2},
                               {"upper_bound", 3},
                               {"value", 2.0},
                               {"upper_value", 3.0},
                               {"tolerance_mm", 1.5},
                               {"proven", false},
                               {"margin_bound_mm", 4.2},
                               {"margin_proven", true}}));
  CHECK(json["boards"][1]["size_mm"] == Json({50.0, 150.0, 3000.0}));
  CHECK(json["boards"][1]["flitch"] == 2);
  CHECK(json["boards"][1]["corners_mm"][6] == Json({3000.0, -75.0, 29.0}));
  CHECK(json["boards"][1]["margin_mm"] == 3.2);
  CHECK(json["cuts"][0]["saw_depth_mm"] == 140.0);
  CHECK(json["cuts"][2]["saw_depth_mm"].is_null());
  CHECK(json["supports"][1]["status"] == "packer 12 mm left");
  CHECK(json["supports"][2]["gap_left_mm"] == 20.0);
  CHECK(json["supports"][2]["gap_right_mm"].is_null());
  CHECK(json["warnings"] == Json({"The bark's thickness is assumed.",
                                  "2 screws need blocks; screws that reach 150 mm would do without."}));
}

TEST_CASE("a rolled log's planes are level and its boards on them, read from plan.json alone") {
  const Json json = Json::parse(plan_json(made_by_solver(3).report()));
  const double roll = json["opening"]["roll_deg"].get<double>() * 3.14159265358979 / 180;
  CHECK_THAT(roll, WithinAbs(0.7, 1e-5));
  const auto normal = json["opening"]["plane"]["normal"].get<std::array<double, 3>>();
  CHECK_THAT(normal[1] * std::cos(roll) - normal[2] * std::sin(roll), WithinAbs(0, 2e-5));  // no y part
  CHECK(normal[1] * std::sin(roll) + normal[2] * std::cos(roll) > 0.9);
  const auto point = json["opening"]["plane"]["point_mm"].get<std::array<double, 3>>();
  double nearest = 1e9;
  for (const Json& board : json["boards"]) {
    for (const Json& corner : board["corners_mm"]) {
      double distance = 0;
      for (std::size_t i = 0; i < 3; ++i) {
        distance += (corner[i].get<double>() - point[i]) * normal[i];
      }
      nearest = std::min(nearest, std::abs(distance));
    }
  }
  CHECK_THAT(nearest, WithinAbs(4.5, 0.1));  // half a kerf
}

TEST_CASE("supports.csv and cuts.csv have units in their names and empty cells for what is not there") {
  const ReportedLog made = made_by_hand();
  const auto supports = csv_rows(supports_csv(made.report()));
  REQUIRE(supports.size() == 4);
  CHECK(supports[0] == std::vector<std::string>{"rail_position", "support", "x_mm", "y_left_mm", "y_right_mm",
                                                "gap_left_mm", "gap_right_mm", "status", "status_left",
                                                "status_right"});
  CHECK(supports[1] ==
        std::vector<std::string>{"1", "1", "100.0", "90.0", "-90.0", "42.1", "45.6", "ok", "ok", "ok"});
  CHECK(supports[3][6].empty());
  CHECK(supports[3][7] == "no bearing right");
  CHECK(supports[3][8] == "relieve 8 mm");
  const auto cuts = csv_rows(cuts_csv(made.report()));
  REQUIRE(cuts.size() == 4);
  CHECK(cuts[0] == std::vector<std::string>{"order", "kind", "piece", "rests_on", "saw_depth_mm", "width_mm",
                                            "piece_weight_kg", "point_x_mm", "point_y_mm", "point_z_mm",
                                            "normal_x", "normal_y", "normal_z"});
  CHECK(cuts[1][4] == "140.0");
  CHECK(cuts[3][2] == "flitch 1, length 1");
  CHECK(cuts[3][3] == "flitch, along a chalk line");
  CHECK(cuts[3][4].empty());
  for (const auto& row : cuts) {
    CHECK(row.size() == cuts[0].size());
  }
}

TEST_CASE("a locale with decimal commas changes nothing") {
  const ReportedLog made = made_by_hand();
  const Report report = made.report();
  const std::string before =
      plan_json(report) + supports_csv(report) + cuts_csv(report) + short_answer(report);
  const CommaLocale comma;
  CHECK(plan_json(report) + supports_csv(report) + cuts_csv(report) + short_answer(report) == before);
}

TEST_CASE("only a plan with boards, set up, can be reported") {
  ReportedLog made = made_by_hand();
  made.sheet.opening_plane = 3;
  CHECK_THROWS_AS(plan_json(made.report()), BadUse);
  made.sheet.opening_plane = 0;
  made.plan.status = solver::SawPlan::Status::no_board_fits;
  CHECK_THROWS_AS(short_answer(made.report()), BadUse);
  CHECK_THROWS_AS(supports_csv(made.report()), BadUse);
  CHECK_THROWS_AS(picture_svg(made.report()), BadUse);
}

TEST_CASE("the short answer says first what matters") {
  ReportedLog made = made_by_hand();
  std::string text = short_answer(made.report());
  CHECK_THAT(text, Catch::Matchers::StartsWith("2 boards of 50x150x3000 mm"));
  CHECK_THAT(text, Contains("Not proven: between 2 and 3"));
  CHECK_THAT(text, Contains("up to 3.2 mm smaller all round"));
  CHECK_THAT(text, Contains("! The bark's thickness is assumed."));
  CHECK_THAT(text, Contains("leave the log as it lies"));
  CHECK_THAT(text, Contains("small end: 68 mm below the top"));
  CHECK_THAT(text, Contains("taken to be the middle") || Contains("taken\n            to be the middle"));
  CHECK_THAT(text, Contains("give or take 2.4 mm"));  // 2.49 mm may not be used up to 2.5
  CHECK_THAT(text, Contains("120 mm above the cut"));
  CHECK_THAT(text, Contains("depth 140 mm"));
  CHECK_THAT(text, Contains("66?  packer 12 mm left"));
  CHECK_THAT(text, Contains("about 213 kg"));
  for (std::istringstream lines(text); std::getline(lines, text);) {
    CAPTURE(text);
    CHECK(text.size() <= 100);
  }
  made.log.pith.source = Pith::Source::given;
  made.plan.proof = {2, 2, 2, 2, 0.0015, true, 77, 0.1, 0, false};
  made.sheet.roll_rad = -0.646;
  made.sheet.bark_walk_m = -0.142;
  text = short_answer(made.report());
  CHECK_THAT(text, Contains("no plan gives more, even if the log were 1.5 mm bigger all round"));
  CHECK_THAT(text, Contains("turn the log 37.0 degrees anticlockwise, seen from the small end"));
  CHECK_THAT(text, Contains("142"));
  CHECK_THAT(text, Contains("to the right of today's"));
  CHECK_THAT(text,
             Contains("small end: 92 mm above the pith") || Contains("small end: 93 mm above the pith"));
  CHECK_THAT(text,
             Contains("large end: 12 mm below the pith") || Contains("large end: 13 mm below the pith"));
}

TEST_CASE("all files are written, complete, and the same on every run") {
  const TemporaryDirectory directory;
  const ReportedLog made = made_by_solver(7);
  const auto place = directory.path() / "new" / "plan";
  Names expected{"plan.json", "supports.csv", "cuts.csv", "sheet.pdf", "plan.svg", "plan.png"};
  if (page_available()) {
    expected.insert("plan.html");
  }
  CHECK(write_report(made.report(), place).size() == expected.size());
  CHECK(names_in(place) == expected);
  CHECK_THAT(picture_svg(made.report()), Contains("<svg") && Catch::Matchers::EndsWith("</svg>\n"));
  CHECK_THAT(picture_png(made.report()), Catch::Matchers::StartsWith("\x89PNG"));
  CHECK(plan_json(made.report()) == plan_json(made.report()));
  CHECK(picture_png(made.report()) == picture_png(made.report()));
  CHECK(write_report(made.report(), place).size() == expected.size());  // over the old ones
}

TEST_CASE("where one file cannot be written, none is") {
  const TemporaryDirectory directory;
  const ReportedLog made = made_by_hand();
  std::filesystem::create_directories(directory.path() / "plan.svg" / "x");
  CHECK_THROWS_AS(write_report(made.report(), directory.path()), InputError);
  CHECK(names_in(directory.path()) == Names{"plan.svg"});
  std::ofstream(directory.path() / "file") << "x";
  CHECK_THROWS_AS(write_report(made.report(), directory.path() / "file"), InputError);
  CHECK_THROWS_AS(write_report(made.report(), directory.path() / "file" / "below"), InputError);
}
