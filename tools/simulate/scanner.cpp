#include "tools/simulate/scanner.hpp"

#include <numbers>
#include <string>

#include "tools/simulate/within.hpp"

namespace flitchwise::simulate {

namespace {

constexpr Within within{"simulated scanner"};

}  // namespace

Scanner perfect_scanner() {
  return {};
}

Scanner photo_scanner() {
  Scanner scanner;
  scanner.white_sigma_m = 0.0015;
  scanner.correlated_sigma_m = 0.002;
  scanner.floater_share = 0.005;
  return scanner;
}

Scanner depth_scanner() {
  Scanner scanner;
  scanner.spacing_m = 0.015;
  scanner.ground_spacing_m = 0.025;
  scanner.white_sigma_m = 0.002;
  scanner.correlated_sigma_m = 0.005;
  scanner.correlation_length_m = 0.08;
  scanner.floater_share = 0.005;
  scanner.facet_m = 0.008;
  scanner.drift_m = 0.015;
  return scanner;
}

void check(const Scanner& scanner) {
  require(!scanner.rings.empty(), "simulated scanner: at least one ring of cameras is needed");
  for (const Ring& ring : scanner.rings) {
    within("ring height_m", ring.height_m, 0.1, 5);
    within("ring distance_m", ring.distance_m, 0.5, 10);
    within("ring cameras", ring.cameras, 3, 500);
  }
  within("height_spread_m", scanner.height_spread_m, 0, 0.5);
  within("most_incidence_rad", scanner.most_incidence_rad, 0.1, std::numbers::pi / 2);
  within("keep_part", scanner.keep_part, 0.01, 1);
  within("spacing_m", scanner.spacing_m, 0.001, 0.1);
  within("ground_spacing_m", scanner.ground_spacing_m, 0.001, 0.2);
  within("white_sigma_m", scanner.white_sigma_m, 0, 0.05);
  within("correlated_sigma_m", scanner.correlated_sigma_m, 0, 0.05);
  within("correlation_length_m", scanner.correlation_length_m, 0.001, 10);
  within("floater_share", scanner.floater_share, 0, 0.2);
  within("facet_m", scanner.facet_m, 0, 0.05);
  within("facets", scanner.facets, 3, 24);
  within("drift_m", scanner.drift_m, 0, 0.1);
  within("doubled_m", scanner.doubled_m, 0, 0.1);
  within("doubled_arc_rad", scanner.doubled_arc_rad, 0.01, 2 * std::numbers::pi);
  within("loop_step_m", scanner.loop_step_m, 0, 0.2);
  within("scale_error", scanner.scale_error, -0.2, 0.2);
}

}  // namespace flitchwise::simulate
