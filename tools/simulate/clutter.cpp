#include "tools/simulate/clutter.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "tools/simulate/angles.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kClutterStream = 701;
constexpr double kSunk_m = 0.04;      // things press into soft ground
constexpr double kPressed_m = 0.004;  // into each other where they touch

/// Places things in the log's own directions.
class Placer {
 public:
  Placer(const Scene& scene, const Ground& ground, const PosedLog& log)
      : scene_(scene), ground_(ground), log_(log), random_(*scene.clutter_seed, kClutterStream) {
    along_ = {std::cos(scene.yaw_rad), std::sin(scene.yaw_rad), 0};
    left_ = {-std::sin(scene.yaw_rad), std::cos(scene.yaw_rad), 0};
    side_ = random_.chance(0.5) ? 1 : -1;
  }

  void touching_logs();
  void touching_blocks();
  void standing_person();
  void walking_person();
  void saw();
  void stumps_and_trees();
  void branches();
  void shed();
  std::vector<Thing> take() { return std::move(things_); }

 private:
  double length_m() const { return log_.surface.shape().length_m; }
  Eigen::Vector3d middle_at(double x_m) const {
    const Eigen::Vector2d c = log_.surface.centre_m(x_m);
    return log_.to_scan({x_m, c.x(), c.y()});
  }
  double radius_m(double x_m, double theta) const { return log_.surface.ridgeless_radius_m(x_m, theta); }
  double widest_m(double x_m) const {
    double most = 0;
    for (int k = 0; k < 24; ++k) {
      most = std::max(most, radius_m(x_m, kTwoPi * k / 24));
    }
    return most;
  }
  Eigen::Vector3d on_ground(const Eigen::Vector3d& p) const {
    return {p.x(), p.y(), ground_.height_m(p.x(), p.y())};
  }
  void add(Solid solid, Thing::Kind kind = Thing::Kind::clutter) {
    things_.push_back({kind, std::move(solid)});
  }
  void rod(const Eigen::Vector3d& from, const Eigen::Vector3d& to, double radius,
           Thing::Kind kind = Thing::Kind::clutter) {
    add(Cylinder{from, (to - from).normalized(), (to - from).norm(), radius}, kind);
  }
  void upright(const Eigen::Vector3d& foot, double height, double radius,
               Thing::Kind kind = Thing::Kind::clutter) {
    rod(foot - kSunk_m * Eigen::Vector3d::UnitZ(), foot + height * Eigen::Vector3d::UnitZ(), radius, kind);
  }
  Eigen::Matrix3d axes(double turn_rad) const {
    return Eigen::AngleAxisd(scene_.yaw_rad + turn_rad, Eigen::Vector3d::UnitZ()).toRotationMatrix();
  }
  void legs(const Eigen::Vector3d& between, const Eigen::Vector3d& stride, double share, bool blocks);

  const Scene& scene_;
  const Ground& ground_;
  const PosedLog& log_;
  Random random_;
  Eigen::Vector3d along_, left_;
  double side_ = 1;  // of the touching log; the blocks lie on the other
  std::vector<Thing> things_;
};

// A log on the ground against the scanned one; beyond it a second, and a third on top of these two.
void Placer::touching_logs() {
  const double radius = random_.uniform(0.09, 0.17);
  const double half = length_m() * random_.uniform(0.3, 0.55);
  const double at = length_m() * random_.uniform(0.35, 0.65);
  const Eigen::Vector3d ends[2] = {middle_at(std::clamp(at - half, 0.0, length_m())),
                                   middle_at(std::clamp(at + half, 0.0, length_m()))};
  Eigen::Vector3d low[2], beyond[2], top[2];
  // Touching at one place: the same distance at both ends, so that it is nowhere inside.
  double apart = 0;
  for (double x = 0; x <= length_m(); x += 0.1) {
    const Eigen::Vector3d c = middle_at(x);
    const double reach = widest_m(x) + radius - kPressed_m;
    const double drop = c.z() - on_ground(c + 0.3 * side_ * left_).z() - radius;
    const double bow = side_ * left_.dot(c - ends[0]) - side_ * left_.dot(ends[1] - ends[0]) *
                                                            along_.dot(c - ends[0]) /
                                                            std::max(0.1, along_.dot(ends[1] - ends[0]));
    apart = std::max(apart, bow + std::sqrt(std::max(0.0, reach * reach - drop * drop)));
  }
  for (int i = 0; i < 2; ++i) {
    low[i] = on_ground(ends[i] + apart * side_ * left_);
    low[i].z() += radius - kSunk_m / 2;
    beyond[i] = on_ground(low[i] + 2 * radius * side_ * left_);
    beyond[i].z() += radius - kSunk_m / 2;
    top[i] = (low[i] + beyond[i]) / 2 + Eigen::Vector3d(0, 0, std::sqrt(3.0) * radius);
  }
  rod(low[0], low[1], radius, Thing::Kind::neighbour);
  rod(beyond[0], beyond[1], radius, Thing::Kind::neighbour);
  rod(top[0], top[1], radius, Thing::Kind::neighbour);
}

void Placer::touching_blocks() {
  const int count = 1 + static_cast<int>(random_.below(3));
  for (int i = 0; i < count; ++i) {
    const double x = length_m() * random_.uniform(0.1, 0.9);
    const Eigen::Vector3d half(random_.uniform(0.05, 0.15), random_.uniform(0.05, 0.15),
                               random_.uniform(0.05, 0.12));
    const double theta = side_ > 0 ? std::numbers::pi : 0;
    const Eigen::Vector3d touch = middle_at(x) - side_ * left_ * (radius_m(x, theta) + half.y() - kPressed_m);
    Eigen::Vector3d middle = on_ground(touch);
    middle.z() += half.z() - kSunk_m;
    // A low block reaches under the log's belly, as far as the bark lets it.
    add(Box{middle, axes(random_.uniform(-0.15, 0.15)), half});
  }
}

void Placer::legs(const Eigen::Vector3d& between, const Eigen::Vector3d& stride, double share, bool blocks) {
  const std::size_t first = things_.size();
  const Eigen::Vector3d hip = on_ground(between) + Eigen::Vector3d(0, 0, 0.85);
  for (const double step : {-1.0, 1.0}) {
    const Eigen::Vector3d foot = on_ground(between + step * stride);
    rod(foot, hip + 0.3 * step * stride, 0.07);
    add(Box{foot + Eigen::Vector3d(0, 0, 0.05), axes(random_.angle()), {0.14, 0.05, 0.05}});
  }
  for (std::size_t i = first; i < things_.size(); ++i) {
    things_[i].share = share;
    things_[i].blocks = blocks;
  }
}

void Placer::standing_person() {
  const double x = length_m() * random_.uniform(0.1, 0.9);
  const double away = widest_m(x) + random_.uniform(0.08, 0.5);
  const Eigen::Vector3d place = middle_at(x) - side_ * away * left_;
  legs(place, 0.13 * along_, 1, true);
  add(Box{on_ground(place) + Eigen::Vector3d(0, 0, 1.15), axes(0), {0.2, 0.13, 0.32}});
}

// Seen again and again on the way, each time by a part of the pictures only.
void Placer::walking_person() {
  const double begin = length_m() * random_.uniform(-0.1, 0.6);
  for (int pose = 0; pose < 4; ++pose) {
    const double x = begin + 0.35 * pose;
    const double at = std::clamp(x, 0.0, length_m());
    const Eigen::Vector3d place =
        middle_at(at) + (x - at) * along_ - side_ * (widest_m(at) + random_.uniform(0.25, 0.5)) * left_;
    legs(place, random_.uniform(0.1, 0.3) * along_, 0.25, false);
  }
}

void Placer::saw() {
  const double x = length_m() * random_.uniform(0.05, 0.95);
  const double turn = random_.angle();
  const Eigen::Vector3d place =
      on_ground(middle_at(x) - side_ * (widest_m(x) + random_.uniform(0.35, 0.6)) * left_);
  const Eigen::Matrix3d frame = axes(turn);
  add(Box{place + Eigen::Vector3d(0, 0, 0.12), frame, {0.2, 0.12, 0.13}});
  add(Box{place + 0.45 * frame.col(0) + Eigen::Vector3d(0, 0, 0.1), frame, {0.27, 0.006, 0.05}});
}

void Placer::stumps_and_trees() {
  const Eigen::Vector3d before = middle_at(0) - random_.uniform(0.35, 0.7) * along_;
  upright(on_ground(before + random_.uniform(-0.5, 0.5) * left_), random_.uniform(0.15, 0.4),
          random_.uniform(0.1, 0.2), Thing::Kind::stump);
  const int trees = 1 + static_cast<int>(random_.below(3));
  for (int i = 0; i < trees; ++i) {
    const double x = length_m() * random_.uniform(0, 1);
    const double away = random_.uniform(0.9, 1.6) * (random_.chance(0.5) ? 1 : -1);
    upright(on_ground(middle_at(x) + away * left_), 2.2, random_.uniform(0.08, 0.2));
  }
}

void Placer::branches() {
  const int count = 2 + static_cast<int>(random_.below(3));
  for (int i = 0; i < count; ++i) {
    const double x = length_m() * random_.uniform(0.05, 0.95);
    const double radius = random_.uniform(0.006, 0.03);
    const double turn = random_.uniform(0.4, 2.7);
    const Eigen::Vector3d way =
        std::cos(turn) * along_ + std::sin(turn) * left_ + Eigen::Vector3d(0, 0, random_.uniform(-0.3, 0.3));
    const Eigen::Vector3d over =
        middle_at(x) + Eigen::Vector3d(0, 0, radius_m(x, std::numbers::pi / 2) + radius - kPressed_m);
    rod(over - random_.uniform(0.3, 0.9) * way, over + random_.uniform(0.3, 0.9) * way, radius);
  }
}

void Placer::shed() {
  const double away = random_.uniform(2.3, 3.0);  // behind the person who scans
  const Eigen::Vector3d foot = on_ground(middle_at(length_m() / 2) + side_ * away * left_);
  add(Box{foot + Eigen::Vector3d(0, 0, 1.1), axes(random_.uniform(-0.1, 0.1)), {1.6, 0.1, 1.15}});
}

}  // namespace

std::vector<Thing> heavy_clutter(const Scene& scene, const Ground& ground, const PosedLog& log) {
  Placer placer(scene, ground, log);
  placer.touching_logs();
  placer.touching_blocks();
  placer.standing_person();
  placer.walking_person();
  placer.saw();
  placer.stumps_and_trees();
  placer.branches();
  placer.shed();
  return placer.take();
}

std::vector<Thing> fork_stems(const Scene& scene, const PosedLog& log) {
  const Fork& fork = *scene.fork;
  const Eigen::Vector2d centre = log.surface.centre_m(0);
  const double radius = log.surface.ridgeless_radius_m(0, 0);
  std::vector<Thing> stems;
  for (const double turn : {0.0, std::numbers::pi}) {
    const Eigen::Vector3d side(0, std::cos(fork.theta_rad + turn), std::sin(fork.theta_rad + turn));
    const Eigen::Vector3d way =
        -std::cos(fork.spread_rad / 2) * Eigen::Vector3d::UnitX() + std::sin(fork.spread_rad / 2) * side;
    const double stem_radius = fork.radius_share * radius;
    const Eigen::Vector3d start =
        Eigen::Vector3d(stem_radius / 2, centre.x(), centre.y()) + (radius - stem_radius) * side;
    stems.push_back({Thing::Kind::clutter,
                     Cylinder{log.to_scan(start), log.scan_from_shape * way, fork.length_m, stem_radius}});
  }
  return stems;
}

}  // namespace flitchwise::simulate
