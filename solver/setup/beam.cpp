#include "solver/setup/beam.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::solver {

double hollow_section_inertia_m4(double outer_width_m, double outer_height_m, double wall_m) {
  const double inner_width_m = outer_width_m - 2 * wall_m;
  const double inner_height_m = outer_height_m - 2 * wall_m;
  return (outer_width_m * std::pow(outer_height_m, 3) - inner_width_m * std::pow(inner_height_m, 3)) / 12;
}

double uniform_load_sag_m(double load_n_m, double span_m, double ei_n_m2) {
  return 5 * load_n_m * std::pow(span_m, 4) / (384 * ei_n_m2);
}

double central_load_sag_m(double load_n, double span_m, double ei_n_m2) {
  return load_n * std::pow(span_m, 3) / (48 * ei_n_m2);
}

double point_load_sag_m(double load_n, double a_m, double b_m, double ei_n_m2) {
  const double a = std::max(a_m, b_m);
  const double b = std::min(a_m, b_m);
  const double span = a + b;
  return load_n * a * b * (span + b) * std::sqrt(3 * a * (span + b)) / (27 * ei_n_m2 * span);
}

double string_sag_m(double weight_n_m, double tension_n, double span_m, double at_m) {
  return weight_n_m * at_m * (span_m - at_m) / (2 * tension_n);
}

double sag_m(double load_n_m, double load_n, double span_m, double ei_n_m2) {
  return uniform_load_sag_m(load_n_m, span_m, ei_n_m2) + central_load_sag_m(load_n, span_m, ei_n_m2);
}

double longest_span_m(double load_n_m, double load_n, double ei_n_m2, double limit_m) {
  constexpr double kLongest = 20;
  constexpr double kStep = 0.0001;
  double low = 0;
  double high = kLongest;
  if (sag_m(load_n_m, load_n, high, ei_n_m2) <= limit_m) {
    return high;
  }
  while (high - low > kStep) {
    const double middle = (low + high) / 2;
    (sag_m(load_n_m, load_n, middle, ei_n_m2) <= limit_m ? low : high) = middle;
  }
  return low;
}

}  // namespace flitchwise::solver
