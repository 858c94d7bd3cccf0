#include "tests/support/random_log.hpp"

#include <cmath>
#include <numbers>

namespace flitchwise::test {
namespace {

using std::numbers::pi;

/// splitmix64: the same numbers from every compiler, which std::uniform_real_distribution does not promise.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed) {}
  double between(double least, double most) {
    state_ += 0x9E3779B97F4A7C15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
    z ^= z >> 31U;
    constexpr double kTop = 9007199254740992.0;  // 2^53
    return least + (most - least) * static_cast<double>(z >> 11U) / kTop;
  }

 private:
  std::uint64_t state_;
};

double bump(double x, double middle, double half) {
  const double u = (x - middle) / half;
  return std::abs(u) < 1 ? std::pow(std::cos(pi / 2 * u), 2) : 0;
}

/// Turns or mirrors every station: its samples are taken at the angle that `source` names.
template <typename Source>
LogModel resampled(const LogModel& log, const Eigen::Matrix2d& move, Source source) {
  LogModel out = log;
  const int n = log.angle_count();
  for (std::size_t i = 0; i < log.stations.size(); ++i) {
    const Station& from = log.stations[i];
    Station& to = out.stations[i];
    to.centre_m = move * from.centre_m;
    for (int k = 0; k < n; ++k) {
      const int j = ((source(k) % n) + n) % n;
      to.bark_radius_m[k] = from.bark_radius_m[j];
      to.wood_radius_m[k] = from.wood_radius_m[j];
      to.bark_sigma_m[k] = from.bark_sigma_m[j];
      to.wood_sigma_m[k] = from.wood_sigma_m[j];
    }
  }
  return out;
}

}  // namespace

LogModel make_log(const LogShape& shape, int stations, int angles) {
  LogModel log;
  log.bark_m = shape.bark_m;
  log.length_m = shape.length_m;
  for (int i = 0; i < stations; ++i) {
    const double u = static_cast<double>(i) / (stations - 1);
    const double x = u * shape.length_m;
    Station s;
    s.x_m = x;
    const double c = shape.c_sweep_m * 4 * u * (1 - u);
    const double w = shape.s_sweep_m * std::sin(2 * pi * u);
    s.centre_m = {c * std::cos(shape.c_direction_rad) + w * std::cos(shape.s_direction_rad),
                  c * std::sin(shape.c_direction_rad) + w * std::sin(shape.s_direction_rad)};
    const double flare = shape.flare_m * std::exp((x - shape.length_m) / 0.2);
    const double round =
        shape.radius_m + shape.taper_m_per_m * x + flare - shape.waist_m * bump(x, shape.waist_x_m, 0.5);
    s.wood_radius_m.resize(angles);
    for (int k = 0; k < angles; ++k) {
      const double theta = 2 * pi * k / angles;
      s.wood_radius_m[k] = round * (1 + shape.ovality * std::cos(2 * (theta - shape.oval_direction_rad)));
    }
    s.bark_radius_m = s.wood_radius_m.array() + shape.bark_m;
    s.bark_sigma_m = Eigen::VectorXd::Constant(angles, shape.wood_sigma_m);
    s.wood_sigma_m = s.bark_sigma_m;
    s.seen.assign(static_cast<std::size_t>(angles), 1);
    log.stations.push_back(s);
  }
  log.small_end = {{0, 0, 0}, -Eigen::Vector3d::UnitX(), true};
  log.large_end = {{shape.length_m, 0, 0}, Eigen::Vector3d::UnitX(), true};
  return log;
}

LogShape random_shape(std::uint64_t seed) {
  Dice dice(seed);
  LogShape shape;
  shape.length_m = dice.between(3.2, 5.0);
  shape.radius_m = dice.between(0.11, 0.22);
  shape.taper_m_per_m = dice.between(0.0, 0.008);
  shape.c_sweep_m = dice.between(0.0, 0.06);
  shape.c_direction_rad = dice.between(0, 2 * pi);
  shape.s_sweep_m = dice.between(0.0, 0.03);
  shape.s_direction_rad = dice.between(0, 2 * pi);
  shape.ovality = dice.between(0.0, 0.05);
  shape.oval_direction_rad = dice.between(0, pi);
  shape.flare_m = dice.between(0.0, 0.04);
  shape.waist_m = dice.between(0.0, 0.008);
  shape.waist_x_m = dice.between(0.5, shape.length_m - 0.5);
  shape.wood_sigma_m = 0.001;
  return shape;
}

LogModel rolled(const LogModel& log, double roll_rad) {
  const int n = log.angle_count();
  const int steps = static_cast<int>(std::lround(roll_rad * n / (2 * pi)));
  const double exact = 2 * pi * steps / n;  // a whole number of samples: the outline itself does not change
  Eigen::Matrix2d turn;
  turn << std::cos(exact), -std::sin(exact), std::sin(exact), std::cos(exact);
  return resampled(log, turn, [&](int k) { return k - steps; });
}

LogModel mirrored(const LogModel& log) {
  const int n = log.angle_count();
  Eigen::Matrix2d flip;
  flip << -1, 0, 0, 1;
  return resampled(log, flip, [&](int k) { return n / 2 - k; });
}

}  // namespace flitchwise::test
