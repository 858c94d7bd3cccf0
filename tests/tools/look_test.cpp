#include "tools/report/look.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <sstream>

#include "tools/report/coverage.hpp"

// What `flitchwise look` says, on logs whose figures are known in closed form.

namespace flitchwise::report {
namespace {

using Catch::Contains;
constexpr double pi = std::numbers::pi;

/// A cone frustum over bark, 4 m long, 150 mm to 190 mm in radius, with 10 mm of bark, bowed to the left by
/// `bow_m` in the middle; everything seen.
LogModel bowed_cone(double bow_m) {
  constexpr int kAngles = 72;
  constexpr double kLength_m = 4;
  LogModel log;
  for (int i = 0; i <= 160; ++i) {
    Station s;
    s.x_m = kLength_m * i / 160;
    const double u = s.x_m / kLength_m;
    s.centre_m = {4 * bow_m * u * (1 - u), 0};
    s.bark_radius_m = Eigen::VectorXd::Constant(kAngles, 0.150 + 0.040 * u);
    s.wood_radius_m = s.bark_radius_m.array() - 0.010;
    s.bark_sigma_m = s.wood_sigma_m = Eigen::VectorXd::Constant(kAngles, 0.0015);
    s.seen.assign(kAngles, 1);
    log.stations.push_back(s);
  }
  log.small_end = {Eigen::Vector3d::Zero(), -Eigen::Vector3d::UnitX(), true};
  log.large_end = {{kLength_m, 0, 0}, Eigen::Vector3d::UnitX(), true};
  log.length_m = kLength_m;
  log.bark_m = 0.010;
  log.bark_source.kind = BarkSource::Kind::given;
  log.density_kg_m3 = 800;
  log.density_source.species = "Larch, western";
  return log;
}

/// Nothing seen of the samples within `half_rad` of theta, for x in [from, to].
void hide(LogModel& log, double theta, double half_rad, double from_m, double to_m) {
  for (Station& s : log.stations) {
    for (std::size_t k = 0; k < s.seen.size() && s.x_m >= from_m && s.x_m <= to_m; ++k) {
      const double t = 2 * pi * static_cast<double>(k) / static_cast<double>(s.seen.size());
      if (std::abs(std::remainder(t - theta, 2 * pi)) <= half_rad) {
        s.seen[k] = 0;
      }
    }
  }
}

ScanInfo info() {
  ScanInfo made;
  made.file = "log.ply";
  made.format = {scan::FileFormat::Kind::ply, scan::FileFormat::Coding::ascii};
  made.points_read = 1'234'567;
  made.scale_source = {scan::ScaleSource::Kind::tape, {}, 4.0};
  made.up_source = {scan::UpSource::Kind::ground, "+z"};
  return made;
}

/// The text in one line.
std::string unwrapped(const std::string& text) {
  std::istringstream words(text);
  std::string line;
  for (std::string word; words >> word;) {
    line += (line.empty() ? "" : " ") + word;
  }
  return line;
}

}  // namespace

TEST_CASE("look states the figures of a cone frustum", "[look]") {
  const std::string text = unwrapped(look_text(info(), bowed_cone(0.050), {}));
  CHECK_THAT(
      text, Contains("log.ply: PLY, ASCII, 1.2 million points; scale from the log's length by tape, 4000 mm; "
                     "up from the ground: the file's +z axis"));
  CHECK_THAT(text, Contains("4000 mm long; over bark 300 mm thick at the small end, 380 mm"));
  CHECK_THAT(text, Contains("taper 20 mm a metre"));
  CHECK_THAT(text, Contains("sweep 50 mm, bowed towards the left, most at 2.0 m"));
  CHECK_THAT(text, Contains("diameter 1.00, at most 1.00"));
  CHECK_THAT(text, Contains("100 % of the bark; end faces: small end seen, large end seen"));
  CHECK_THAT(text, Contains("within 3.0 mm where it was seen (19 times in 20)"));
  // Wood: L (A_s + sqrt(A_s A_l) + A_l) / 3 with radii 140 and 180 mm; Smalian and Huber by their formulas.
  CHECK_THAT(text, Contains("0.323 m3 of wood by its sections (Smalian 0.327, Huber 0.322, Newton 0.323)"));
  CHECK_THAT(text, Contains("0.365 m3 with its bark"));
  CHECK_THAT(text, Contains("about 292 kg (800 kg/m3: Larch, western: green, USDA Forest Service)"));
  CHECK_THAT(text, Contains("the scan will do for a plan"));
}

TEST_CASE("look names the side towards which a log is bowed", "[look]") {
  CHECK_THAT(unwrapped(look_text(info(), bowed_cone(-0.020), {})),
             Contains("sweep 20 mm, bowed towards the right"));
  CHECK_THAT(unwrapped(look_text(info(), bowed_cone(0.001), {})), Contains("straight"));
  LogModel up = bowed_cone(0);
  for (Station& s : up.stations) {
    s.centre_m = {-0.03 * std::sin(pi * s.x_m / 4), 0.03 * std::sin(pi * s.x_m / 4)};
  }
  CHECK_THAT(unwrapped(look_text(info(), up, {})), Contains("sweep 42 mm, bowed towards the upper right"));
}

TEST_CASE("look names what the scan did not see", "[look]") {
  LogModel log = bowed_cone(0.02);
  hide(log, -pi / 2, 0.9, 0, 4);
  hide(log, 0, 0.7, 2.1, 2.6);
  hide(log, pi, 0.7, 1.00, 1.10);  // too short to be told
  const auto stretches = unseen_stretches(log);
  REQUIRE(stretches.size() == 2);
  CHECK(stretches[0].side == Side::left);
  CHECK(in_words(stretches[0], 4) == "between 2.1 and 2.6 m on the left side");
  CHECK(stretches[1].side == Side::underside);
  CHECK(in_words(stretches[1], 4) == "along the whole underside");
  CHECK_THAT(unwrapped(look_text(info(), log, {})),
             Contains("nothing seen between 2.1 and 2.6 m on the left side"));
}

TEST_CASE("stretches that nearly touch are told as one", "[look]") {
  LogModel log = bowed_cone(0);
  hide(log, pi, 0.8, 0.5, 1.2);
  hide(log, pi, 0.8, 1.4, 2.0);
  hide(log, pi, 0.8, 2.6, 3.0);
  const auto stretches = unseen_stretches(log);
  REQUIRE(stretches.size() == 2);
  CHECK(in_words(stretches[0], 4) == "between 0.5 and 2.0 m on the right side");
  CHECK(in_words(stretches[1], 4) == "between 2.6 and 3.0 m on the right side");
}

TEST_CASE("look lists knots, warnings, and why a scan will not do", "[look]") {
  LogModel log = bowed_cone(0);
  log.knots = {{1.2, pi / 2, 0.035, 0.060}, {2.9, pi * 1.24, 0.018, 0.050}};
  const std::string text =
      unwrapped(look_text(info(), log, {scan::ScaleUnchecked{4}}, [](const Fact&) { return "--tape"; }));
  CHECK_THAT(text, Contains("2 stand out: 1.2 m top, 35 mm high; 2.9 m lower right, 18 mm high"));
  CHECK_THAT(text, Contains("will do; but mind:") && Contains(" ! The scale rests") &&
                       Contains("give the log's length by tape (--tape)."));
  CHECK_THAT(unwrapped(look_text(info(), "No log was found.")), Contains("will not do. No log was found."));
}

}  // namespace flitchwise::report
