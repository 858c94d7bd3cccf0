/// What a person sees whose scan cannot be read, or cannot support a plan, or gives no such board.

#include <catch2/catch.hpp>
#include <limits>
#include <random>

#include "tests/tools/made_scans.hpp"
#include "tests/tools/run_flitchwise.hpp"

using namespace flitchwise::testing;
using Catch::Matchers::Contains;
using Catch::Matchers::Equals;
using Words = std::vector<std::string>;
using Eigen::Vector3d;

namespace {

// Exit codes.
constexpr int bad_file = 2;
constexpr int scan_will_not_do = 3;
constexpr int no_board_fits = 4;

/// The sentence with which planning this file fails; checks all the rest.
std::string failure(const Folder& folder, const std::string& scan, int exit_code, const Words& more = {},
                    const std::string& board = "50x150x2400") {
  const Run run = plan(scan, folder / "out", more, board);
  CHECK_THAT(not_one_sentence(run, exit_code), Equals(""));
  CHECK_FALSE(std::filesystem::exists(folder / "out"));
  return run.trouble;
}

std::string failure_of_bytes(const std::string& bytes, int exit_code, const Words& more = {}) {
  const Folder folder;
  std::string trouble = failure(folder, folder.write("scan", bytes), exit_code, more);
  if (exit_code == bad_file) {
    CHECK_THAT(trouble, Contains(folder / "scan"));
  }
  return trouble;
}

void check_will_not_do(const Points& points, const std::string& because) {
  CHECK_THAT(failure_of_bytes(ply_of(points), scan_will_not_do), Contains(because));
}

std::string short_ply() {
  return ply_of(short_log().scan.points_m);
}

const std::string no_log = "No log was found in the scan";

/// The number before " mm" behind `phrase`.
int millimetres_after(const std::string& text, const std::string& phrase) {
  const std::size_t at = text.find(phrase);
  REQUIRE(at != std::string::npos);
  return std::stoi(text.substr(at + phrase.size()));
}

}  // namespace

TEST_CASE("a scan that is not there is refused", "[bad_scans]") {
  const Folder folder;
  CHECK_THAT(failure(folder, folder / "no such.ply", bad_file), Contains("does not exist"));
  CHECK_THAT(failure(folder, folder / "", bad_file), Contains("is a directory"));
}

TEST_CASE("a file that is no scan is refused", "[bad_scans]") {
  CHECK_THAT(failure_of_bytes("", bad_file), Contains("is empty"));
  CHECK_THAT(failure_of_bytes("Dear crew,\nthe scan is in the other mail.\n", bad_file),
             Contains("no known format") && Contains("PLY"));
  std::string photo("\xff\xd8\xff\xe0\x00\x10JFIF", 10);
  photo.append(5000, '\x5a');
  CHECK_THAT(failure_of_bytes(photo, bad_file), Contains("is a photo"));
  CHECK_THAT(failure_of_bytes("1 2 3\n4 5 6\n7 8 9\n", bad_file), Contains("only 3 points"));
  CHECK_THAT(failure_of_bytes(ply_of({{1, 2, 3}, {4, 5, 6}, {7, 8, 9}}), bad_file),
             Contains("only 3 points"));
  constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
  CHECK_THAT(failure_of_bytes(ply_of(Points(5000, Vector3d::Constant(kNaN))), bad_file),
             Contains("no point with finite coordinates"));
}

TEST_CASE("a PLY file that was cut short is refused", "[bad_scans]") {
  const std::string whole = short_ply();
  const std::size_t header = whole.find("end_header");
  for (const std::size_t length : {std::size_t{3}, header / 2, header + 4, header + 12, header + 1000,
                                   whole.size() / 2, whole.size() - 1}) {
    INFO(length << " of " << whole.size() << " bytes");
    failure_of_bytes(whole.substr(0, length), bad_file);
  }
  CHECK_THAT(failure_of_bytes(whole.substr(0, whole.size() / 2), bad_file), Contains("cut short"));
}

TEST_CASE("a kit file that is missing or wrong is refused", "[bad_scans]") {
  const Folder folder;
  const std::string scan = folder.write("scan.ply", ply_of(bare_ground()));
  const auto trouble = [&](const std::string& kit) {
    return failure(folder, scan, bad_file, {"--kit", kit});
  };
  CHECK_THAT(trouble(folder / "none.toml"), Contains("none.toml") && Contains("cannot be opened"));
  CHECK_THAT(trouble(folder.write("a.toml", "rail = [")), Contains("a.toml, line 1"));
  CHECK_THAT(trouble(folder.write("b.toml", "")), Contains("b.toml") && Contains("missing"));
  CHECK_THAT(trouble(scan), Contains("kit file"));
}

TEST_CASE("a place that cannot be written to is refused in one sentence", "[bad_scans]") {
  const Folder folder;
  const std::string scan = folder.write("scan.ply", short_ply());
  const std::string in_the_way = folder.write("file", "notes");
  for (const std::string& out : {in_the_way, in_the_way + "/below"}) {
    const Run run = plan(scan, out);
    CHECK_THAT(not_one_sentence(run, bad_file), Equals(""));
    CHECK_THAT(run.trouble, Contains(in_the_way) && Contains("choose another place"));
    CHECK(content(in_the_way) == "notes");
  }
  const std::string out = folder / "out";
  std::filesystem::create_directories(out + "/plan.svg");
  CHECK_THAT(not_one_sentence(plan(scan, out), bad_file), Equals(""));
  CHECK(files_below(out).empty());
}

TEST_CASE("a scene without a log is refused", "[bad_scans]") {
  check_will_not_do(bare_ground(), no_log);
  check_will_not_do(bare_ground() + upright_cylinder(0.5, 0.3, 0.25, 0.5), no_log);  // a stump
  check_will_not_do(bare_ground() + upright_cylinder(0.5, 0.3, 0.12, 1.2) +
                        upright_cylinder(-0.8, 0.2, 0.12, 1.2) + upright_cylinder(0.1, -0.9, 0.15, 1.5),
                    no_log);  // legs
  check_will_not_do(random_box({4, 4, 2}), no_log);
  check_will_not_do(random_box({4, 0.4, 0.4}),
                    "Scan it again");  // as long and thick as a log, but full of points
  check_will_not_do(tilted_plane(), no_log);
  check_will_not_do(Points(5000, Vector3d(1, 2, 3)), "less than 1 mm wide");
}

TEST_CASE("a ball is no log, on the ground or alone", "[bad_scans]") {
  check_will_not_do(ball(0.5, 0.5), no_log);
  check_will_not_do(bare_ground() + ball(0.5, 0.5), no_log);
  check_will_not_do(bare_ground() + ball(0.7, 0.7), no_log);
}

TEST_CASE("a tape measure makes no log of what is none", "[bad_scans]") {
  const Words tape{"--scale-length", "2600"};
  failure_of_bytes(ply_of(bare_ground()), scan_will_not_do, tape);
  failure_of_bytes(ply_of(bare_ground() + ball(0.5, 0.5)), scan_will_not_do, tape);
  failure_of_bytes(ply_of(tilted_plane()), scan_will_not_do, tape);
  failure_of_bytes(ply_of(Points(5000, Vector3d(1, 2, 3))), scan_will_not_do, tape);
}

TEST_CASE("half a log is refused, and the message tells what to do", "[bad_scans]") {
  const Folder folder;
  Words words{"simulate", folder / "scan.ply", "--part", "0.5"};
  for (const std::string& word : short_log_arguments()) {
    words.push_back(word);
  }
  REQUIRE(run_flitchwise(words).exit_code == 0);
  CHECK_THAT(failure(folder, folder / "scan.ply", scan_will_not_do),
             Contains("no sawn face at the large end") && Contains("both ends in view") &&
                 Contains("--allow-unseen-ends"));
}

TEST_CASE("a log seen from one side only is refused", "[bad_scans]") {
  const flitchwise::simulate::Simulation scan = short_log();
  const std::string what_to_do = "Walk all the way round the log and scan it again";
  constexpr double kBeside_m = 0.3;  // the ground there stays
  for (const double side : {-1.0, 1.0}) {
    check_will_not_do(
        kept_points(scan,
                    [side](const Vector3d& p) { return side * p.y() > 0 || std::abs(p.y()) > kBeside_m; }),
        what_to_do);
  }
  check_will_not_do(kept_points(scan, [](const Vector3d& p) { return p.y() > 0.02 && p.z() > -0.02; }),
                    what_to_do);
}

TEST_CASE("a point far from every log picks none", "[bad_scans]") {
  CHECK_THAT(failure_of_bytes(short_ply(), scan_will_not_do, {"--near", "-50,20,0.5"}),
             Contains("No log lies within") && Contains("--near"));
}

TEST_CASE("a scan that shows the log twice is refused, and the message says where", "[bad_scans]") {
  const flitchwise::simulate::Simulation scan = short_log();
  const auto upper_left = [](const Vector3d& p) { return p.y() > 0.02 && p.z() > 0.02; };
  Points twice = scan.scan.points_m;
  for (const Vector3d& p : kept_points(scan, upper_left)) {
    twice.push_back(p + scan.truth.scan_from_log * Vector3d(0, 0.018, 0.018));
  }
  CHECK_THAT(failure_of_bytes(ply_of(twice), scan_will_not_do),
             Contains("m from the small end the") && Contains("mm") && Contains("Scan it again"));
}

TEST_CASE("a log of another size than any log is refused", "[bad_scans]") {
  const flitchwise::simulate::Simulation scan = short_log();
  const auto scaled = [&](double along, double across) {
    return ply_of(moved_points(scan, [along, across](const Vector3d& p) {
      return Vector3d(p.x() * along, p.y() * across, p.z() * across);
    }));
  };
  CHECK_THAT(failure_of_bytes(scaled(0.2, 0.2), scan_will_not_do), Contains("--unit"));
  CHECK_THAT(failure_of_bytes(scaled(8, 8), scan_will_not_do), Contains("--unit"));
  CHECK_THAT(failure_of_bytes(scaled(100, 100), scan_will_not_do), Contains("another unit?"));
  failure_of_bytes(scaled(1, 0.2), scan_will_not_do);  // 55 mm thick
  CHECK_THAT(failure_of_bytes(scaled(1, 0.2), scan_will_not_do, {"--allow-unseen-ends"}),
             Contains("thinner than any log"));
  failure_of_bytes(scaled(1, 6.5), scan_will_not_do);  // 1.8 m thick
}

TEST_CASE("a board longer or wider than the log is refused, and the message tells what fits", "[bad_scans]") {
  const Folder folder;
  const std::string scan = folder.write("scan.ply", short_ply());
  const Words bark{"--bark", "14"};
  const std::string too_long = failure(folder, scan, no_board_fits, bark, "50x100x3000");
  const int length_mm = millimetres_after(too_long, "only ");
  CHECK(length_mm < kShortLogLength_mm);
  CHECK(length_mm > kShortLogLength_mm - 100);
  CHECK_THAT(too_long, Contains("50x100x3000"));
  const std::string too_wide = failure(folder, scan, no_board_fits, bark, "50x500x2400");
  const int width_mm = millimetres_after(too_wide, "the widest full-length board 50 mm thick is ");
  CHECK(width_mm > 100);
  CHECK(width_mm < 300);
  CHECK_THAT(failure(folder, scan, no_board_fits, bark, "400x400x2400"), Contains("400 mm thick"));
  // What the messages name does fit.
  CHECK(plan(scan, folder / "out", bark, "30x50x" + std::to_string(length_mm)).exit_code == 0);
  CHECK(plan(scan, folder / "out", bark, "50x" + std::to_string(width_mm) + "x2400").exit_code == 0);
}

TEST_CASE("a run that fails leaves the results of an earlier one alone", "[bad_scans]") {
  const Folder folder;
  const std::string out = folder / "out";
  const std::string good = folder.write("good.ply", short_ply());
  REQUIRE(plan(good, out).exit_code == 0);
  const auto before = files_below(out);
  REQUIRE(before.count("plan.json") == 1);
  CHECK(plan(good, out, {"--kerf", "-1"}).exit_code == 1);
  CHECK(plan(folder.write("empty.ply", ""), out).exit_code == bad_file);
  CHECK(plan(folder.write("ground.ply", ply_of(bare_ground())), out).exit_code == scan_will_not_do);
  CHECK(plan(good, out, {}, "50x150x3000").exit_code == no_board_fits);
  CHECK(files_below(out) == before);
}

TEST_CASE("random damage ends in a plan or in one sentence, never in a crash", "[bad_scans]") {
  const std::string whole = short_ply();
  const std::size_t header = whole.find("end_header") + 11;
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    INFO("seed " << seed);
    std::mt19937_64 bits(seed);
    std::string bytes = whole;
    // Every other one in the header, which no point survives unharmed; the others anywhere.
    const bool in_header = seed % 2 == 0;
    const int flips = in_header ? 2 : 1000;
    for (int i = 0; i < flips; ++i) {
      const std::size_t place = bits() % (in_header ? header : bytes.size());
      bytes[place] = static_cast<char>(bytes[place] ^ static_cast<char>(1U << (bits() % 8)));
    }
    const Folder folder;
    const Run run = plan(folder.write("scan.ply", bytes), folder / "out", {"--time-limit", "1"});
    if (run.exit_code == 0) {
      CHECK(run.trouble.empty());
      CHECK(files_below(folder / "out").count("plan.json") == 1);
    } else {
      CHECK(run.exit_code >= bad_file);
      CHECK_THAT(not_one_sentence(run, run.exit_code), Equals(""));
      CHECK(run.exit_code <= no_board_fits);
      CHECK_FALSE(std::filesystem::exists(folder / "out"));
    }
  }
}
