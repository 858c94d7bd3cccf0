#include "tests/tools/made_scans.hpp"

#include <array>
#include <cmath>
#include <cstring>
#include <numbers>
#include <random>

namespace flitchwise::testing {
namespace {

constexpr std::uint64_t kSeed = 21;  // a log with a bow, knots and stubs
constexpr double kNoise_m = 0.002;   // a photo-like scan's
constexpr int kPoints = 20000;       // a surface

/// The same numbers with every standard library.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : bits_(seed) {}
  double between(double low, double high) {
    return low + (high - low) * static_cast<double>(bits_() >> 11) * 0x1p-53;
  }
  double noise_m() { return between(-1.7, 1.7) * kNoise_m; }

 private:
  std::mt19937_64 bits_;
};

}  // namespace

std::vector<std::string> short_log_arguments() {
  return {"--seed",         "21",  "--length-mm",    "2600", "--spacing-mm", "10",
          "--small-end-mm", "260", "--large-end-mm", "300",  "--scanner",    "photo"};
}

simulate::Simulation short_log() {
  simulate::LogWishes wishes;
  wishes.length_m = kShortLogLength_mm / 1000;
  wishes.small_end_diameter_m = 0.26;
  wishes.large_end_diameter_m = 0.30;
  simulate::Scanner scanner = simulate::photo_scanner();
  scanner.spacing_m = 0.010;
  scanner.ground_spacing_m = 0.025;
  return simulate::simulate_random(kSeed, scanner, wishes);
}

std::string ply_of(const Points& points) {
  std::string bytes = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                      std::to_string(points.size()) +
                      "\nproperty float x\nproperty float y\nproperty float z\nend_header\n";
  for (const Eigen::Vector3d& p : points) {
    const Eigen::Vector3f single = p.cast<float>();
    std::array<char, sizeof(float) * 3> raw{};
    std::memcpy(raw.data(), single.data(), raw.size());
    bytes.append(raw.data(), raw.size());
  }
  return bytes;
}

Points kept_points(const simulate::Simulation& scan,
                   const std::function<bool(const Eigen::Vector3d&)>& keep) {
  Points kept;
  for (const Eigen::Vector3d& p : scan.scan.points_m) {
    if (keep(scan.truth.to_log(p))) {
      kept.push_back(p);
    }
  }
  return kept;
}

Points moved_points(const simulate::Simulation& scan,
                    const std::function<Eigen::Vector3d(const Eigen::Vector3d&)>& move) {
  Points moved;
  for (const Eigen::Vector3d& p : scan.scan.points_m) {
    moved.push_back(scan.truth.to_scan(move(scan.truth.to_log(p))));
  }
  return moved;
}

Points operator+(Points left, const Points& right) {
  left.insert(left.end(), right.begin(), right.end());
  return left;
}

Points bare_ground() {
  Dice dice(1);
  Points points;
  for (int i = 0; i < kPoints; ++i) {
    points.emplace_back(dice.between(-2.5, 2.5), dice.between(-2.5, 2.5), dice.noise_m());
  }
  return points;
}

Points upright_cylinder(double x_m, double y_m, double radius_m, double height_m) {
  Dice dice(2);
  Points points;
  for (int i = 0; i < kPoints; ++i) {
    const double theta = dice.between(0, 2 * std::numbers::pi);
    const bool on_top = i % 4 == 0;
    const double r = (on_top ? radius_m * std::sqrt(dice.between(0, 1)) : radius_m) + dice.noise_m();
    const double z = on_top ? height_m + dice.noise_m() : dice.between(0, height_m);
    points.emplace_back(x_m + r * std::cos(theta), y_m + r * std::sin(theta), z);
  }
  return points;
}

Points random_box(const Eigen::Vector3d& size_m) {
  Dice dice(3);
  Points points;
  for (int i = 0; i < 2 * kPoints; ++i) {
    points.emplace_back(dice.between(0, size_m.x()), dice.between(0, size_m.y()),
                        dice.between(0, size_m.z()));
  }
  return points;
}

Points tilted_plane() {
  Dice dice(4);
  Points points;
  for (int i = 0; i < kPoints; ++i) {
    const double x = dice.between(-2, 2);
    const double y = dice.between(-2, 2);
    points.emplace_back(x, y, 0.4 * x + 0.3 * y);
  }
  return points;
}

Points ball(double radius_m, double middle_z_m) {
  Dice dice(5);
  Points points;
  for (int i = 0; i < kPoints; ++i) {
    // Archimedes: heights spread evenly give points spread evenly over the sphere.
    const double z = dice.between(-1, 1);
    const double theta = dice.between(0, 2 * std::numbers::pi);
    const double r = std::sqrt(1 - z * z);
    points.emplace_back(radius_m * Eigen::Vector3d(r * std::cos(theta), r * std::sin(theta), z) +
                        Eigen::Vector3d(0, 0, middle_z_m));
  }
  return points;
}

}  // namespace flitchwise::testing
