/// Files and options of the simulator: bytes, axes, truth file, command line, faults of scanners, refusals.

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "scan/model/errors.hpp"
#include "tools/app/simulate_command.hpp"
#include "tools/simulate/simulate.hpp"
#include "tools/simulate/truth_json.hpp"

namespace sim = flitchwise::simulate;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

sim::LogWishes short_log() {
  sim::LogWishes wishes;
  wishes.length_m = 1;
  return wishes;
}

sim::Scanner coarse(sim::Scanner scanner) {
  scanner.spacing_m = 0.02;
  scanner.ground_spacing_m = 0.04;
  return scanner;
}

sim::Simulation small_scan(std::uint64_t seed, const sim::Scanner& scanner = coarse(sim::photo_scanner())) {
  return sim::simulate_random(seed, scanner, short_log());
}

std::string bytes_of(const sim::Simulation& made) {
  return sim::scan_bytes(made.scan, sim::FileFormat::ply_binary, {});
}

float float_at(const std::string& bytes, std::size_t place) {
  float value = 0;
  std::memcpy(&value, bytes.data() + place, sizeof value);
  return value;
}

// A straight cylinder 0.3 m thick, 3 m long, along the scan frame's x, alone.
sim::Site cylinder_site() {
  sim::LogShape shape;
  shape.length_m = 3;
  shape.small_end_diameter_m = shape.large_end_diameter_m = 0.3;
  sim::Scene scene;
  scene.ground = false;
  return sim::build_site(shape, scene);
}

sim::Scanner faultless() {
  sim::Scanner scanner = sim::perfect_scanner();
  scanner.full_coverage = true;
  scanner.spacing_m = 0.02;
  return scanner;
}

// Largest distance of a bark point from the true surface.
double worst_m(const sim::Site& site, const sim::ScanPoints& scan) {
  double worst = 0;
  for (std::size_t i = 0; i < scan.points_m.size(); ++i) {
    if (scan.labels[i] == sim::Label::bark) {
      worst = std::max(worst, std::abs(site.log.bark_height_m(scan.points_m[i])));
    }
  }
  return worst;
}

// Runs the command line "flitchwise simulate ...".
void command(const std::vector<std::string>& words) {
  CLI::App app;
  sim::add_simulate_command(app);
  std::vector<std::string> reversed(words.rbegin(), words.rend());
  reversed.emplace_back("simulate");
  app.parse(reversed);
}

std::string content(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

class Folder {
 public:
  explicit Folder(const std::string& name)
      : path_(std::filesystem::temp_directory_path() / (name + "_" + std::to_string(getpid()))) {
    std::filesystem::create_directories(path_);
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  Folder(Folder&&) = delete;
  Folder& operator=(Folder&&) = delete;
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }

 private:
  std::filesystem::path path_;
};

}  // namespace

TEST_CASE("the same seed gives the same bytes, another seed others", "[simulate]") {
  const std::string first = bytes_of(small_scan(41));
  CHECK(first == bytes_of(small_scan(41)));
  CHECK(first != bytes_of(small_scan(42)));
}

TEST_CASE("a wish changes nothing but what was wished for", "[simulate]") {
  const sim::LogShape drawn = sim::random_log(43);
  sim::LogWishes wishes;
  wishes.sweep_m = 0.05;
  const sim::LogShape bowed = sim::random_log(43, wishes);
  CHECK(bowed.sweep_m == 0.05);
  CHECK(bowed.length_m == drawn.length_m);
  CHECK(bowed.ovality == drawn.ovality);
  CHECK(bowed.bark_m == drawn.bark_m);
  REQUIRE(bowed.bumps.size() == drawn.bumps.size());
  // A large end alone bounds the small end.
  sim::LogWishes slim;
  slim.large_end_diameter_m = 0.15;
  CHECK(sim::random_log(43, slim).small_end_diameter_m < 0.15);
}

TEST_CASE("drawn logs and scenes keep to their ranges", "[simulate]") {
  for (std::uint64_t seed = 0; seed < 300; ++seed) {
    INFO("seed " << seed);
    const sim::LogShape shape = sim::random_log(seed);
    REQUIRE_NOTHROW(sim::check(shape));
    REQUIRE_NOTHROW(sim::check(sim::random_scene(seed, shape.length_m)));
    REQUIRE((shape.length_m >= 2.5 && shape.length_m < 5));
    REQUIRE((shape.small_end_diameter_m >= 0.2 && shape.small_end_diameter_m < 0.45));
    REQUIRE(shape.sweep_m <= 0.08);
  }
}

TEST_CASE("binary PLY holds every point as three floats and three bytes", "[simulate]") {
  const sim::Simulation made = small_scan(44);
  const std::string bytes = bytes_of(made);
  const std::size_t body = bytes.find("end_header\n") + 11;
  REQUIRE(bytes.size() == body + 15 * made.scan.points_m.size());
  CHECK_THAT(bytes, Contains("element vertex " + std::to_string(made.scan.points_m.size()) + "\n"));
  for (std::size_t i = 0; i < made.scan.points_m.size(); i += 101) {
    for (int axis = 0; axis < 3; ++axis) {
      const std::size_t place = body + 15 * i + 4 * static_cast<std::size_t>(axis);
      REQUIRE(float_at(bytes, place) == static_cast<float>(made.scan.points_m[i][axis]));
    }
    REQUIRE(static_cast<unsigned char>(bytes[body + 15 * i + 13]) == made.scan.colours[i][1]);
  }
}

TEST_CASE("text files hold the same numbers", "[simulate]") {
  const sim::Simulation made = small_scan(45);
  std::istringstream xyz(sim::scan_bytes(made.scan, sim::FileFormat::xyz, {false, 1000}));
  double x = 0;
  double y = 0;
  double z = 0;
  int red = 0;
  int green = 0;
  int blue = 0;
  std::size_t count = 0;
  while (xyz >> x >> y >> z >> red >> green >> blue) {
    const Eigen::Vector3d in_mm = 1000 * made.scan.points_m.at(count);
    REQUIRE_THAT((in_mm - Eigen::Vector3d(x, y, z)).norm(), WithinAbs(0, 0.002));  // floats, some metres
    REQUIRE(blue == made.scan.colours[count][2]);
    ++count;
  }
  CHECK(count == made.scan.points_m.size());
  const std::string ascii = sim::scan_bytes(made.scan, sim::FileFormat::ply_ascii, {});
  CHECK_THAT(ascii, Contains("format ascii 1.0\n"));
  const std::size_t header_lines = 11;
  CHECK(static_cast<std::size_t>(std::count(ascii.begin(), ascii.end(), '\n')) == header_lines + count);
}

TEST_CASE("a y-up file maps back by (x, -z, y)", "[simulate]") {
  const Eigen::Vector3d point(1, 2, 3);
  const Eigen::Vector3d file = sim::in_file(point, {true, 1000});
  CHECK(file == Eigen::Vector3d(1000, 3000, -2000));
  CHECK(Eigen::Vector3d(file.x(), -file.z(), file.y()) == 1000 * point);
}

TEST_CASE("the truth file says what the truth says", "[simulate]") {
  const sim::Simulation made = small_scan(46);
  const nlohmann::json json = sim::truth_json(made.truth, {true, 1000}, {{"note", 1}});
  CHECK(json["format"] == "flitchwise-truth");
  CHECK(json["file"]["up"] == "y");
  CHECK(json["file"]["mm_per_file_unit"] == 1);
  CHECK(json["options"]["note"] == 1);
  CHECK_THAT(json["log"]["length_mm"].get<double>(), WithinAbs(1000 * made.truth.length_m, 0.001));
  REQUIRE(json["stations"].size() == made.truth.stations.size());
  const nlohmann::json& station = json["stations"][10];
  CHECK_THAT(station["x_mm"].get<double>(), WithinAbs(250, 1e-9));
  REQUIRE(station["bark_radius_mm"].size() == 180);
  CHECK_THAT(station["bark_radius_mm"][33].get<double>(),
             WithinAbs(1000 * made.truth.stations[10].bark_radius_m[33], 0.001));
  CHECK(station["seen"][135] == 0);
  // The frame carries a point of the log frame to the scan frame.
  const auto number = [&](const char* key, std::size_t i) { return json["frame"][key][i].get<double>(); };
  const Eigen::Vector3d origin(number("origin_scan_mm", 0), number("origin_scan_mm", 1),
                               number("origin_scan_mm", 2));
  const auto x = json["frame"]["axes_scan"][0].get<std::vector<double>>();
  const Eigen::Vector3d at = origin + 250 * Eigen::Vector3d(x[0], x[1], x[2]);
  CHECK_THAT((at - 1000 * made.truth.to_scan({0.25, 0, 0})).norm(), WithinAbs(0, 0.001));
}

TEST_CASE("depths and gaps on a cylinder are the closed form", "[simulate]") {
  const sim::PosedLog log = cylinder_site().log;
  const Eigen::Vector3d axis = log.to_scan({1.5, 0, 0});
  const Eigen::Vector3d up = Eigen::Vector3d::UnitZ();
  CHECK_THAT(log.wood_depth_m(axis), WithinAbs(0.15, 1e-9));
  CHECK_THAT(log.wood_depth_m(axis + 0.2 * up), WithinAbs(-0.05, 1e-9));
  CHECK(log.inside_wood(axis + 0.149 * up));
  CHECK_FALSE(log.inside_wood(log.to_scan({-0.01, 0, 0})));
  // 90 mm to the side the bark is 30 mm lower than on top.
  const Eigen::Vector3d aside = log.scan_from_shape * Eigen::Vector3d(0, 0.09, 0);
  const auto gap = log.bark_top_below(axis + aside + 0.2 * up, -up);
  REQUIRE(gap);
  CHECK_THAT(*gap, WithinAbs(0.08, 1e-6));
  const auto sunk = log.bark_top_below(axis + aside + 0.1 * up, -up);
  REQUIRE(sunk);
  CHECK_THAT(*sunk, WithinAbs(-0.02, 1e-6));
  CHECK_FALSE(log.bark_top_below(axis + 3 * aside + 0.2 * up, -up));
  CHECK_FALSE(log.bark_top_below(log.to_scan({3.1, 0, 0.2}), -up));
}

TEST_CASE("each fault of a scanner does what its name says", "[simulate]") {
  const sim::Site site = cylinder_site();
  sim::Scanner scanner = faultless();
  CHECK_THAT(worst_m(site, sim::take_scan(site, scanner, 1)), WithinAbs(0, 1e-9));
  SECTION("doubled surface") {
    scanner.doubled_m = 0.015;
    const sim::ScanPoints scan = sim::take_scan(site, scanner, 1);
    CHECK_THAT(worst_m(site, scan), WithinAbs(0.015, 0.0002));
  }
  SECTION("facets keep the girth") {
    scanner.facet_m = 0.008;
    const sim::ScanPoints scan = sim::take_scan(site, scanner, 1);
    CHECK_THAT(worst_m(site, scan), WithinAbs(0.008 * 2 / 3, 0.0006));  // where it swells most
  }
  SECTION("drift") {
    scanner.drift_m = 0.015;
    // Its bend between the ends: at mid-length 0.5 * 15 mm / sqrt(3) in each direction, 1 sigma.
    double squares = 0;
    constexpr int kSeeds = 20;
    for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
      const double worst = worst_m(site, sim::take_scan(site, scanner, seed));
      CHECK(worst < 0.03);
      squares += worst * worst / kSeeds;
    }
    CHECK(std::sqrt(squares) > 0.004);
    CHECK(std::sqrt(squares) < 0.012);
  }
  SECTION("loop step") {
    scanner.loop_step_m = 0.04;
    const double worst = worst_m(site, sim::take_scan(site, scanner, 1));
    CHECK(worst > 0.005);
    CHECK(worst < 0.021);  // half of the step either way
  }
  SECTION("floaters") {
    scanner.floater_share = 0.05;
    const sim::ScanPoints scan = sim::take_scan(site, scanner, 1);
    const auto floaters = std::count(scan.labels.begin(), scan.labels.end(), sim::Label::floater);
    const double share = static_cast<double>(floaters) / static_cast<double>(scan.labels.size());
    CHECK_THAT(share, WithinAbs(0.05, 0.01));
  }
  SECTION("scale error") {
    scanner.scale_error = 0.01;
    const Eigen::Vector3d plain = sim::take_scan(site, faultless(), 1).points_m.front();
    CHECK_THAT((sim::take_scan(site, scanner, 1).points_m.front() - 1.01 * plain).norm(), WithinAbs(0, 1e-9));
  }
  SECTION("part of the log") {
    scanner.keep_part = 0.5;
    for (const Eigen::Vector3d& point : sim::take_scan(site, scanner, 1).points_m) {
      REQUIRE(site.log.to_shape(point).x() <= 1.5 + 1e-9);
    }
    const sim::Truth truth = sim::make_truth(site, scanner, 1);
    CHECK(truth.stations.front().seen[45] == 1);
    CHECK(truth.stations.back().seen[45] == 0);
  }
}

TEST_CASE("what makes no log, scene or scanner is refused", "[simulate]") {
  sim::LogShape shape;
  sim::Scene scene;
  sim::Scanner scanner;
  CHECK_NOTHROW(sim::check(shape));
  CHECK_NOTHROW(sim::check(scene));
  CHECK_NOTHROW(sim::check(scanner));
  shape.large_end_diameter_m = 0.2;
  CHECK_THROWS_WITH(sim::check(shape), Contains("large_end_diameter_m"));
  shape = {};
  shape.bark_ridge_m = 0.01;
  CHECK_THROWS_AS(sim::check(shape), flitchwise::BadUse);
  shape = {};
  shape.length_m = std::nan("");
  CHECK_THROWS_AS(sim::check(shape), flitchwise::BadUse);
  scene.bearers.resize(1);
  CHECK_THROWS_AS(sim::check(scene), flitchwise::BadUse);
  scanner.rings.clear();
  CHECK_THROWS_AS(sim::check(scanner), flitchwise::BadUse);
  scanner = {};
  scanner.spacing_m = 0;
  CHECK_THROWS_AS(sim::check(scanner), flitchwise::BadUse);
  sim::LogWishes wishes;
  wishes.knots = -1;
  CHECK_THROWS_AS(sim::random_log(1, wishes), flitchwise::BadUse);
}

TEST_CASE("the command writes scan and truth", "[simulate]") {
  const Folder folder("flitchwise-simulate-test");
  const std::string scan = folder / "larch.ply";
  const std::string truth = folder / "larch.json";
  const std::vector<std::string> words = {scan,  "--truth", truth,     "--seed", "7",         "--length-mm",
                                          "900", "--y-up",  "--units", "mm",     "--scanner", "depth"};
  command(words);
  const std::string bytes = content(scan);
  const nlohmann::json json = nlohmann::json::parse(content(truth));
  CHECK(bytes.substr(0, 4) == "ply\n");
  CHECK(json["file"]["up"] == "y");
  CHECK(json["seed"] == 7);
  CHECK_THAT(json["log"]["length_mm"].get<double>(), WithinAbs(900, 1));
  command(words);
  CHECK(content(scan) == bytes);
  CHECK_THROWS_AS(command({folder / "none/a.ply", "--length-mm", "900", "--scanner", "depth"}),
                  flitchwise::InputError);
  CHECK_THROWS_AS(command({scan, "--length-mm", "20"}), CLI::ValidationError);
  CHECK_THROWS_AS(command({scan, "--scanner", "laser"}), CLI::ValidationError);
  CHECK_THROWS_AS(command({scan, "--small-end-mm", "300", "--large-end-mm", "200"}), flitchwise::BadUse);
  CHECK_THROWS_AS(command({}), CLI::RequiredError);
}
