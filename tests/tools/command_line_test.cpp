/// What a person sees who plans a good scan, and who mistypes the command.

#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/tools/made_scans.hpp"
#include "tests/tools/run_flitchwise.hpp"
#include "tools/report/page.hpp"

using namespace flitchwise::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::Equals;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

constexpr double kTenth_mm = 0.11;  // corners are written to a hundredth of a millimetre
constexpr double kLength_mm = 5;    // of the log's length, as asked of the whole job

/// Simulates the short log into `file`, as a person would.
void simulate_short_log(const std::string& file, const Words& more = {}) {
  Words words{"simulate", file};
  for (const Words& some : {short_log_arguments(), more}) {
    words.insert(words.end(), some.begin(), some.end());
  }
  const Run run = run_flitchwise(words);
  REQUIRE(run.exit_code == 0);
  REQUIRE(run.trouble.empty());
}

Json plan_in(const std::string& out) {
  return Json::parse(content(out + "/plan.json"));
}

Eigen::Vector3d corner(const Json& board, std::size_t i) {
  const Json& c = board.at("corners_mm").at(i);
  return {c.at(0).get<double>(), c.at(1).get<double>(), c.at(2).get<double>()};
}

/// Boards that the first line of the answer names.
std::size_t printed_boards(const Run& run) {
  std::istringstream line(run.out);
  std::size_t boards = 0;
  line >> boards;
  return boards;
}

std::string whole_mm(double mm) {
  return std::to_string(std::lround(std::abs(mm))) + " mm ";
}

/// Checks that a run went well, and what it wrote. Returns the plan.
Json check_planned(const Run& run, const std::string& out) {
  INFO("stderr: " << run.trouble << "stdout: " << run.out);
  REQUIRE(run.exit_code == 0);
  CHECK(run.trouble.empty());
  const auto files = files_below(out);
  CHECK(files.size() == (flitchwise::report::page_available() ? 7U : 6U));
  CHECK(files.count("plan.html") == (flitchwise::report::page_available() ? 1U : 0U));
  for (const std::string name :
       {"plan.json", "supports.csv", "cuts.csv", "sheet.pdf", "plan.svg", "plan.png"}) {
    REQUIRE(files.count(name) == 1);
    CHECK_FALSE(files.at(name).empty());
    CHECK_THAT(run.out, Contains((std::filesystem::path(out) / name).string()));
  }
  Json plan = plan_in(out);
  REQUIRE_FALSE(plan.at("boards").empty());
  CHECK(printed_boards(run) == plan.at("boards").size());
  CHECK_THAT(run.out, Contains("of 50x150x2400 mm"));
  for (const Json& board : plan.at("boards")) {
    CHECK_THAT((corner(board, 3) - corner(board, 0)).norm(), WithinAbs(50, kTenth_mm));
    CHECK_THAT((corner(board, 1) - corner(board, 0)).norm(), WithinAbs(150, kTenth_mm));
    CHECK_THAT((corner(board, 4) - corner(board, 0)).norm(), WithinAbs(2400, kTenth_mm));
    CHECK_THAT((corner(board, 6) - corner(board, 0)).norm(),
               WithinAbs(std::sqrt(50. * 50 + 150. * 150 + 2400. * 2400), kTenth_mm));
  }
  return plan;
}

/// Plans a variant of the short log and checks that it comes out like the log.
Json check_variant(const std::string& file_name, const Words& for_simulate, const Words& for_plan) {
  const Folder folder;
  simulate_short_log(folder / file_name, for_simulate);
  Json planned = check_planned(plan(folder / file_name, folder / "out", for_plan), folder / "out");
  CHECK_THAT(planned["log"]["length_mm"].get<double>(), WithinAbs(kShortLogLength_mm, kLength_mm));
  return planned;
}

/// A scan in a folder, for refusals that come before it is read.
struct Refusals {
  Folder folder;
  std::string scan = folder.write("scan.ply", ply_of(bare_ground()));

  Run run(const Words& more, const std::string& board = "50x150x2400") const {
    Run answer = plan(scan, folder / "out", more, board);
    CHECK_THAT(not_one_sentence(answer, 1), Equals(""));
    CHECK_FALSE(std::filesystem::exists(folder / "out"));
    return answer;
  }
};

}  // namespace

TEST_CASE("the short answer names boards, heights and supports, and agrees with plan.json",
          "[command_line]") {
  const Folder folder;
  const std::string out = folder / "a new/folder for it";
  simulate_short_log(folder / "scan.ply", {"--truth", folder / "truth.json"});
  const Run run = plan(folder / "scan.ply", out, {"--bark", "14", "--species", "larch"});
  const Json planned = check_planned(run, out);
  const Json truth = Json::parse(content(folder / "truth.json"));
  CHECK_THAT(planned["log"]["length_mm"].get<double>(),
             WithinAbs(truth["log"]["length_mm"].get<double>(), kLength_mm));
  CHECK(planned["scan"]["file"] == folder / "scan.ply");
  CHECK_THAT(run.out, Contains("Heights") && Contains("small end: ") && Contains("large end: "));
  for (const std::string end : {"small", "large"}) {
    const double height_mm = planned["opening"]["height_" + end + "_end_mm"];
    // plan.json has tenths; a half may be rounded either way.
    const std::string open = "(";
    CHECK_THAT(run.out, Contains(open + whole_mm(height_mm - 0.1)) ||
                            Contains(open + whole_mm(height_mm + 0.1)) ||
                            Contains(": " + whole_mm(height_mm)));
  }
  CHECK_THAT(run.out, Contains("Supports") && Contains("left mm") && Contains("right mm"));
  for (const Json& support : planned["supports"]) {
    CHECK_THAT(run.out, Contains(support.at("status").get<std::string>()));
  }
  CHECK_THAT(run.out, Contains("Kit       plain kit"));
  const std::string csv = content(out + "/supports.csv");
  CHECK(static_cast<std::size_t>(std::count(csv.begin(), csv.end(), '\n')) == planned["supports"].size() + 1);
}

TEST_CASE("every format of the simulator gives the same plan", "[command_line]") {
  const Json binary = check_variant("scan.ply", {}, {});
  CHECK(binary["scan"]["up_source"] == "the ground: the file's +z axis");
  const Json text = check_variant("scan.ply", {"--format", "ply-ascii"}, {});
  const Json xyz = check_variant("no ending", {"--format", "xyz"}, {});
  for (const Json& other : {text, xyz}) {
    CHECK(other["boards"].size() == binary["boards"].size());
    CHECK(other["scan"]["points_read"] == binary["scan"]["points_read"]);
    CHECK_THAT(other["log"]["length_mm"].get<double>(),
               WithinAbs(binary["log"]["length_mm"].get<double>(), 1));
  }
}

TEST_CASE("a file with y up is planned, told so or not", "[command_line]") {
  const Json found = check_variant("scan.ply", {"--y-up"}, {});
  CHECK(found["scan"]["up_source"] == "the ground: the file's +y axis");
  const Json told = check_variant("scan.ply", {"--y-up"}, {"--up", "Y"});
  CHECK(told["scan"]["up_source"] == "given: +y axis");
  CHECK(told["boards"].size() == found["boards"].size());
}

TEST_CASE("a file in millimetres is planned once its unit is named", "[command_line]") {
  const Json planned = check_variant("scan.ply", {"--units", "mm"}, {"--unit", "mm"});
  CHECK(planned["scan"]["scale"] == 0.001);
  const Folder folder;
  simulate_short_log(folder / "scan.ply", {"--units", "mm"});
  const Run run = plan(folder / "scan.ply", folder / "out");
  CHECK_THAT(not_one_sentence(run, 3), Equals(""));
  CHECK_THAT(run.trouble, Contains("another unit?") && Contains("(--unit, --scale-length)"));
  CHECK_FALSE(std::filesystem::exists(folder / "out"));
}

TEST_CASE("a tape measure gives a file of unknown scale its length", "[command_line]") {
  constexpr double kUnits = 0.37;  // a scan from photographs has any scale
  const Folder folder;
  Points points = short_log().scan.points_m;
  for (Eigen::Vector3d& p : points) {
    p *= kUnits;
  }
  folder.write("scan.ply", ply_of(points));
  const Run run = plan(folder / "scan.ply", folder / "out", {"--scale-length", "2600"});
  const Json planned = check_planned(run, folder / "out");
  CHECK_THAT(planned["log"]["length_mm"].get<double>(), WithinRel(kShortLogLength_mm, 0.001));
  CHECK_THAT(planned["scan"]["scale_source"].get<std::string>(), Contains("by tape, 2600 mm"));
  CHECK_THAT(run.out, !Contains("The scale rests on the file alone"));
}

TEST_CASE("a log that must stay as it lies is not rolled", "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply");
  const Run run = plan(folder / "scan.ply", folder / "out", {"--as-it-lies"});
  const Json planned = check_planned(run, folder / "out");
  CHECK(planned["opening"]["roll_deg"] == 0);
  CHECK_THAT(planned["opening"]["plane"]["normal"].at(1).get<double>(), WithinAbs(0, 1e-9));
  CHECK_THAT(run.out, Contains("leave the log as it lies"));
}

TEST_CASE("options may stand before the scan, and a plan may be written over an older one",
          "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply");
  const Run first = plan(folder / "scan.ply", folder / "out", {"--kerf", "12"});
  const Json wide = check_planned(first, folder / "out");
  const Run second =
      run_flitchwise({"plan", "--out", folder / "out", "--board", "50 x 150 x 2400", folder / "scan.ply"});
  const Json plain = check_planned(second, folder / "out");
  CHECK(plain["cuts"] != wide["cuts"]);
}

TEST_CASE("a scan whose log lacks an end is planned up to where it was seen, if told so", "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply", {"--part", "0.5"});
  const Run run = plan(folder / "scan.ply", folder / "out", {"--allow-unseen-ends"}, "50x100x900");
  INFO(run.trouble);
  REQUIRE(run.exit_code == 0);
  CHECK_THAT(run.out, Contains("Not both ends of the log were seen"));
  for (const Json& board : plan_in(folder / "out")["boards"]) {
    CHECK(corner(board, 4).x() < kShortLogLength_mm / 2 + kLength_mm);
  }
}

TEST_CASE("beside the plan stand by eye and, given time, what limits it", "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply");
  const Run run = plan(folder / "scan.ply", folder / "out", {"--bark", "14", "--advice-time", "60"});
  const Json planned = check_planned(run, folder / "out");
  const Json& advice = planned.at("advice");
  CHECK(advice["by_eye"]["boards"].get<std::size_t>() <= planned["boards"].size());
  CHECK_THAT(run.out, Contains("By eye " + std::to_string(advice["by_eye"]["boards"].get<int>()) + " board"));
  REQUIRE(advice["limits"].is_object());
  CHECK(advice["limits"]["complete"] == true);
  CHECK_THAT(run.out, Contains("What limits this plan"));
  for (const Json& change : advice["limits"]["changes"]) {
    CHECK(change["boards"] > planned["boards"].size());
  }
  CHECK(advice["crosscut"].is_null());  // 2.6 m are too short for two boards of 2.4 m

  const Run quick = plan(folder / "scan.ply", folder / "quick", {"--bark", "14", "--advice-time", "0"});
  const Json without = check_planned(quick, folder / "quick");
  CHECK(without["advice"]["limits"].is_null());
  CHECK(without["boards"] == planned["boards"]);
}

TEST_CASE("a log that is cut in two first is planned piece by piece", "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply");
  const std::string out = folder / "out";
  const Run run = plan(folder / "scan.ply", out, {"--bark", "14", "--crosscut-first"}, "50x150x1100");
  INFO(run.trouble << run.out);
  REQUIRE(run.exit_code == 0);
  CHECK(run.out.starts_with("Cut the log in two first, "));
  std::size_t boards = 0;
  double length_mm = 0;
  for (const std::string piece : {"piece-1", "piece-2"}) {
    CHECK_THAT(run.out, Contains("== " + piece));
    const Json planned = plan_in(out + "/" + piece);
    boards += planned["boards"].size();
    length_mm += planned["log"]["length_mm"].get<double>();
  }
  CHECK_THAT(run.out, Contains(": " + std::to_string(boards) + " boards instead of "));
  CHECK_THAT(length_mm, WithinAbs(kShortLogLength_mm, 20));  // less the kerf

  const Run refused = plan(folder / "scan.ply", folder / "none", {"--bark", "14", "--crosscut-first"});
  CHECK(refused.exit_code == 4);
  CHECK_THAT(refused.trouble, Contains("No cross-cut leaves two pieces"));
}

TEST_CASE("look says what a scan shows without planning it", "[command_line]") {
  const Folder folder;
  simulate_short_log(folder / "scan.ply");
  const Run good = run_flitchwise({"look", folder / "scan.ply", "--bark", "8", "--scale-length", "2600"});
  CHECK(good.exit_code == 0);
  CHECK_THAT(good.trouble, Equals(""));
  CHECK_THAT(good.out, Contains("2600 mm long") && Contains("m3 of wood by its sections (Smalian"));
  CHECK_THAT(good.out, Contains("the scan will do for a plan"));
  simulate_short_log(folder / "half.ply", {"--part", "0.5"});
  const Run half = run_flitchwise({"look", folder / "half.ply"});
  CHECK(half.exit_code == 3);
  CHECK_THAT(half.out, Contains("PLY, binary") && Contains("the scan will not do. "));
  CHECK_THAT(half.trouble, Equals("flitchwise: the scan cannot support a plan\n"));
  const Run none = run_flitchwise({"look", folder / "none.ply"});
  CHECK_THAT(not_one_sentence(none, 2), Equals(""));
}

TEST_CASE("two scans of one log are looked at as one, and of two logs as none", "[command_line]") {
  const Folder folder;
  const flitchwise::simulate::Simulation scan = short_log();
  const auto part = [&](double from_m, double to_m) {
    return kept_points(scan, [&](const Eigen::Vector3d& p) { return p.x() > from_m && p.x() < to_m; });
  };
  Points moved = part(0.7, 9);
  const Eigen::AngleAxisd turn(0.9, Eigen::Vector3d::UnitZ());
  for (Eigen::Vector3d& p : moved) {
    p = turn * p + Eigen::Vector3d(1.5, -0.8, 0.2);
  }
  const std::string first = folder.write("first.ply", ply_of(part(-9, 1.9)));
  const std::string second = folder.write("second.ply", ply_of(moved));
  const Run merged = run_flitchwise({"look", "--bark", "8", first, second});
  INFO(merged.trouble << merged.out);
  CHECK(merged.exit_code == 0);
  CHECK_THAT(merged.out, Contains("first.ply,") && Contains("second.ply: PLY") &&
                             Contains("2 scans merged; they agree within 1 mm over"));
  const std::string ground = folder.write("ground.ply", ply_of(bare_ground()));
  const Run apart = plan(first, folder / "out", {ground});
  CHECK_THAT(not_one_sentence(apart, 3), Equals(""));
  CHECK_THAT(apart.trouble, Contains("ground.ply does not fit the others"));
  const Run missing = plan(first, folder / "out", {folder / "none.ply"});
  CHECK_THAT(not_one_sentence(missing, 2), Equals(""));
  CHECK_THAT(missing.trouble, Contains("none.ply"));
  CHECK_FALSE(std::filesystem::exists(folder / "out"));
}

TEST_CASE("help is no mistake", "[command_line]") {
  for (const Words& words :
       {Words{"--help"}, Words{"plan", "--help"}, Words{"look", "--help"}, Words{"simulate", "--help"}}) {
    const Run run = run_flitchwise(words);
    CHECK(run.exit_code == 0);
    CHECK(run.trouble.empty());
    CHECK_THAT(run.out, Contains("Usage: "));
  }
  CHECK_THAT(run_flitchwise({"plan", "--help"}).out, Contains("50x150x3000") && Contains("--unit"));
}

TEST_CASE("a command that is not whole or not known is refused", "[command_line]") {
  CHECK_THAT(run_flitchwise({}).trouble, Contains("name a command, plan, look, yard or simulate"));
  for (const Words& words :
       {Words{}, Words{"frobnicate"}, Words{"frobnicate", "scan.ply"}, Words{"--wibble"}, Words{"plan"},
        Words{"plan", "scan.ply"}, Words{"plan", "--board", "50x150x2400"},
        Words{"plan", "scan.ply", "--board"}, Words{"simulate"},
        Words{"simulate", "a.ply", "--scanner", "eye"}, Words{"simulate", "a.ply", "--length-mm", "1"},
        Words{"simulate", "a.ply", "--seed", "x"}, Words{"simulate", "a.ply", "--part", "0"}}) {
    const Run run = run_flitchwise(words);
    INFO(run.trouble);
    CHECK_THAT(not_one_sentence(run, 1), Equals(""));
  }
  CHECK_THAT(run_flitchwise({"plan", "scan.ply"}).trouble,
             Contains("--board is required") && Contains("flitchwise plan --help"));
  CHECK_FALSE(std::filesystem::exists("a.ply"));
}

TEST_CASE("options that are not known or given twice are refused", "[command_line]") {
  const Refusals refused;
  CHECK_THAT(refused.run({"--wibble"}).trouble, Contains("--wibble"));
  CHECK_THAT(refused.run({"--kerf", "9", "--kerf", "10"}).trouble, Contains("--kerf"));
  CHECK_THAT(refused.run({"--kerf"}).trouble, Contains("--kerf"));
}

TEST_CASE("a board size that is none is refused with an example", "[command_line]") {
  const Refusals refused;
  for (const std::string board :
       {"50x150", "50x150x", "0x1x2", "-50x150x3000", "axbxc", "50x150x99999999999999999999e999"}) {
    CHECK_THAT(refused.run({}, board).trouble,
               Contains("'" + board + "' is no board size") && Contains("for example 50x150x3000"));
  }
  for (const std::string board : {"99999x150x3000", "50x99999x3000", "50x150x99999", "1x150x3000"}) {
    CHECK_THAT(refused.run({}, board).trouble, Contains("the board's") && Contains(" mm, but must lie"));
  }
}

TEST_CASE("boards that nobody can want end in one clear sentence", "[command_line]") {
  const Refusals refused;
  CHECK_THAT(refused.run({}, "0x150x3000").trouble, Contains("'0x150x3000' is no board size"));
  CHECK_THAT(refused.run({}, "50x-150x3000").trouble, Contains("'50x-150x3000' is no board size"));
  Words many;
  for (int i = 0; i < 4999; ++i) {
    many.insert(many.end(), {"--board", "50x" + std::to_string(100 + i % 100) + "x2400"});
  }
  CHECK_THAT(refused.run(many).trouble,
             Contains("there are 5000 board sizes, but at most 60 can be planned at once"));
}

TEST_CASE("numbers out of range are refused in the unit in which they were given", "[command_line]") {
  const Refusals refused;
  const auto trouble = [&](const std::string& option, const std::string& value) {
    return refused.run({option, value}).trouble;
  };
  CHECK_THAT(trouble("--kerf", "51"), Contains("--kerf is 51 mm, but must lie between 0 and 50 mm"));
  CHECK_THAT(trouble("--kerf", "-1"), Contains("--kerf is -1 mm"));
  CHECK_THAT(trouble("--bark", "-3"), Contains("--bark is -3 mm, but must lie between 0 and 150 mm"));
  CHECK_THAT(trouble("--bark", "151"), Contains("--bark is 151 mm"));
  CHECK_THAT(trouble("--scale-length", "299"), Contains("--scale-length is 299 mm"));
  CHECK_THAT(trouble("--scale-length", "30001"), Contains("between 300 and 30000 mm"));
  CHECK_THAT(trouble("--confidence", "-0.1"), Contains("--confidence is -0.1"));
  CHECK_THAT(trouble("--confidence", "5.1"), Contains("between 0 and 5"));
  CHECK_THAT(trouble("--time-limit", "0"), Contains("--time-limit is 0 s"));
  CHECK_THAT(trouble("--advice-time", "-1"), Contains("--advice-time is -1 s"));
  for (const std::string option : {"--kerf", "--bark", "--scale-length", "--confidence", "--time-limit"}) {
    CHECK_THAT(trouble(option, "nan"), Contains(option));
    CHECK_THAT(trouble(option, "inf"), Contains(option));
    CHECK_THAT(trouble(option, "14cm"), Contains(option + " = 14cm is not a number"));
  }
}

TEST_CASE("what is wanted of the plan is refused in the words in which it was asked", "[command_line]") {
  const Refusals refused;
  const auto trouble = [&](const std::string& option, const std::string& value) {
    return refused.run({option, value}).trouble;
  };
  CHECK_THAT(trouble("--board", "50x150x2400=0"), Contains("'50x150x2400=0' is no board size"));
  CHECK_THAT(trouble("--board", "50x150x2400=2e6"), Contains("the board's value is 2000000"));
  CHECK_THAT(trouble("--pattern", "quarter"), Contains("'quarter'") && Contains("best, cant, live"));
  CHECK_THAT(trouble("--roll-only", "0,400"), Contains("--roll-only is 400 degrees"));
  CHECK_THAT(trouble("--short-lengths", "2400"), Contains("2400 mm is not shorter than every board"));
  CHECK_THAT(trouble("--short-lengths", "1500,50"), Contains("--short-lengths is 50 mm"));
  CHECK_THAT(trouble("--keep-pith-out", "501"), Contains("--keep-pith-out is 501 mm"));
  CHECK_THAT(trouble("--max-grain-slope", "1:0.5"), Contains("'1:0.5'") && Contains("such as 1:12"));
  CHECK_THAT(trouble("--max-grain-slope", "steep"), Contains("'steep'"));
  CHECK_THAT(trouble("--wane", "50%"), Contains("'50%'") && Contains("less than 50%"));
  CHECK_THAT(trouble("--wane", "-1"), Contains("--wane"));
}

TEST_CASE("dry sizes are refused in plain words, and no size at all too", "[command_line]") {
  const Refusals refused;
  CHECK_THAT(refused.run({"--dry", "45x145"}).trouble, Contains("'45x145' is no dry size"));
  CHECK_THAT(refused.run({"--dry", "45x145x2400", "--moisture", "70"}).trouble,
             Contains("--moisture is 70 %"));
}

TEST_CASE("the pith by tape and the sheet's units and paper are refused in plain words", "[command_line]") {
  const Refusals refused;
  const auto trouble = [&](const std::string& option, const std::string& value) {
    return refused.run({option, value}).trouble;
  };
  for (const std::string text : {"small", "small=", "small=120", "small=120,", "small=120,x", "small=-1,20",
                                 "middle=1,2", "small=1,2,3", "large=0,5", "small,1=2"}) {
    CHECK_THAT(trouble("--pith", text),
               Contains("--pith is '" + text + "'") && Contains("for example small=142,150"));
  }
  CHECK_THAT(refused.run({"--pith", "small=1,2", "--pith", "small=3,4"}).trouble,
             Contains("--pith is given twice for the small end"));
  CHECK_THAT(trouble("--units", "ft"), Contains("--units is 'ft', but must be one of in, mm"));
  CHECK_THAT(trouble("--paper", "a3"), Contains("--paper is 'a3', but must be one of a4, letter"));
}

TEST_CASE("words that are not among the choices are refused with the choices", "[command_line]") {
  const Refusals refused;
  CHECK_THAT(refused.run({"--unit", "furlong"}).trouble,
             Contains("'furlong'") && Contains("cm, ft, in, m, mm"));
  CHECK_THAT(refused.run({"--up", "w"}).trouble, Contains("'w'") && Contains("-z, x, y, z"));
  for (const char* point : {"here", "1,2", "1,2,3,4", "1 2", "1,2,x", "1,2,nan"}) {
    CHECK_THAT(refused.run({"--near", point}).trouble, Contains("--near is") && Contains("X,Y,Z"));
  }
  CHECK_THAT(refused.run({"--species", "unobtainium"}).trouble,
             Contains("--species is 'unobtainium'") && Contains("for example larch") && Contains("bark"));
  CHECK_THAT(refused.run({"--out", ""}).trouble, Contains("--out"));
}
