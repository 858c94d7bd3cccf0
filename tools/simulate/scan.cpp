#include "tools/simulate/scan.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "tools/simulate/angles.hpp"
#include "tools/simulate/colours.hpp"
#include "tools/simulate/errors_of_scan.hpp"
#include "tools/simulate/visibility.hpp"

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kSamplingStream = 501;
constexpr double kMostStretch = 20;   // of a surface cell on a stub's wall; more would only be noise
constexpr double kBladesPerM2 = 250;  // tufts rather than lawn
constexpr double kBladeStep = 0.7;    // of the ground's spacing, from point to point up a blade
constexpr double kColourBlur_m = 0.0015;
constexpr double kMarginAcross_m = 0.25;  // ground strip beside the log is at least this much wider

// Visits a patch of surface and keeps what is seen.
class Recorder {
 public:
  Recorder(const Site& site, const Scanner& scanner, std::uint64_t seed)
      : site_(site),
        scanner_(scanner),
        seen_(site, scanner, seed),
        errors_(site, scanner, seed),
        random_(seed, kSamplingStream),
        colours_(seed),
        most_x_m_(scanner.keep_part < 1 ? scanner.keep_part * site.log.surface.shape().length_m : 1e9) {}

  void scan_bark();
  void scan_end(const EndCut& cut);
  void scan_ground();
  void scan_grass();
  void scan_things();
  ScanPoints take();

 private:
  struct Frame {
    Eigen::Vector3d corner, u, v, normal;
    double u_length = 0, v_length = 0;
  };
  void bark_cell(double x_m, double theta, double dx_m, double dtheta);
  template <typename Visit>
  void scatter(double width_m, double height_m, double spacing_m, const Visit& visit);
  void scan_rectangle(const Frame& face, double spacing_m, Thing::Kind kind);
  void scan_solid(const Cylinder& cylinder, double spacing_m, Thing::Kind kind);
  void scan_solid(const Box& box, double spacing_m, Thing::Kind kind);
  void keep_thing(const Eigen::Vector3d& point, const Eigen::Vector3d& normal, Thing::Kind kind,
                  bool cut_face);
  void keep(const Eigen::Vector3d& point, const Eigen::Vector3d& normal, Tint tint, Label label);
  bool inside_anything(const Eigen::Vector3d& point) const;
  bool shown(const Eigen::Vector3d& point) const { return site_.log.to_shape(point).x() <= most_x_m_; }

  const Site& site_;
  const Scanner& scanner_;
  Visibility seen_;
  ScanErrors errors_;
  Random random_;
  Painter colours_;
  double most_x_m_;
  double share_ = 1;  // of the points of the thing that is being scanned
  ScanPoints scan_;
};

void Recorder::keep(const Eigen::Vector3d& point, const Eigen::Vector3d& normal, Tint tint, Label label) {
  const bool floats = errors_.floats();
  scan_.points_m.push_back(floats ? errors_.floated_m(point, normal)
                                  : errors_.measured_m(point, normal, label == Label::bark));
  scan_.colours.push_back(colours_.paint(tint, point));
  scan_.labels.push_back(floats ? Label::floater : label);
}

// One jittered point in every cell of a rectangle.
template <typename Visit>
void Recorder::scatter(double width_m, double height_m, double spacing_m, const Visit& visit) {
  const int columns = std::max(1, static_cast<int>(std::lround(width_m / spacing_m)));
  const int rows = std::max(1, static_cast<int>(std::lround(height_m / spacing_m)));
  for (int i = 0; i < columns; ++i) {
    for (int j = 0; j < rows; ++j) {
      const double u = (i + random_.uniform()) * width_m / columns;
      const double v = (j + random_.uniform()) * height_m / rows;
      visit(u, v);
    }
  }
}

void Recorder::scan_bark() {
  const LogSurface& surface = site_.log.surface;
  const double overhang = surface.reach_m() * std::max(std::tan(surface.shape().small_end_tilt_rad),
                                                       std::tan(surface.shape().large_end_tilt_rad));
  const double range = surface.shape().length_m + 2 * overhang;
  const int rows = static_cast<int>(std::ceil(range / scanner_.spacing_m));
  const double dx = range / rows;
  for (int row = 0; row < rows; ++row) {
    const double x = -overhang + row * dx;
    const double girth = kTwoPi * surface.ridgeless_radius_m(x, 0);
    const int cells = std::max(3, static_cast<int>(std::lround(girth / scanner_.spacing_m)));
    for (int k = 0; k < cells; ++k) {
      bark_cell(x, kTwoPi * k / cells, dx, kTwoPi / cells);
    }
  }
}

void Recorder::bark_cell(double x_m, double theta, double dx_m, double dtheta) {
  const LogSurface& surface = site_.log.surface;
  // The true area of the cell: on the side of a stub or a knot more points fall into it.
  const double mid_x = x_m + dx_m / 2;
  const double mid_theta = theta + dtheta / 2;
  const Eigen::Vector3d radial(0, std::cos(mid_theta), std::sin(mid_theta));
  const double facing = std::max(1 / kMostStretch, surface.normal(mid_x, mid_theta).dot(radial));
  const double area = surface.ridgeless_radius_m(mid_x, mid_theta) * dtheta * dx_m / facing;
  const int count = static_cast<int>(area / (scanner_.spacing_m * scanner_.spacing_m) + random_.uniform());
  for (int i = 0; i < count; ++i) {
    const double x = x_m + dx_m * random_.uniform();
    const double at = theta + dtheta * random_.uniform();
    const double ridge = surface.ridge_height_m(x, at);
    const Eigen::Vector3d in_shape = surface.point_m(x, at, surface.ridgeless_radius_m(x, at) + ridge);
    if (x > most_x_m_ || !surface.between_ends(in_shape)) {
      continue;
    }
    const Eigen::Vector3d normal = site_.log.scan_from_shape * surface.normal(x, at);
    const Eigen::Vector3d point = site_.log.to_scan(in_shape);
    if (seen_.sees_log(point, normal)) {
      keep(point, normal, ridge < 0 ? Tint::bark_groove : Tint::bark, Label::bark);
    }
  }
}

void Recorder::scan_end(const EndCut& cut) {
  const LogSurface& surface = site_.log.surface;
  const double reach = 1.1 * surface.reach_m();
  const Eigen::Vector3d u = cut.normal.unitOrthogonal();
  const Eigen::Vector3d v = cut.normal.cross(u);
  const Eigen::Vector3d normal = site_.log.scan_from_shape * cut.normal;
  scatter(2 * reach, 2 * reach, scanner_.spacing_m, [&](double a, double b) {
    const Eigen::Vector3d in_shape = cut.point_m + (a - reach) * u + (b - reach) * v;
    const LogSurface::Polar polar = surface.polar(in_shape);
    const double x = in_shape.x();
    if (x > most_x_m_ || polar.radius_m > surface.bark_radius_m(x, polar.theta)) {
      return;
    }
    const Eigen::Vector3d point = site_.log.to_scan(in_shape);
    if (!seen_.sees_log(point, normal)) {
      return;
    }
    // Photographs are laid on the points a pixel or two off.
    const double painted_m = polar.radius_m + kColourBlur_m * random_.normal();
    const bool bark = painted_m > surface.wood_radius_m(x, polar.theta);
    const double from_pith = (in_shape.tail<2>() - surface.pith_m(x)).norm();
    keep(point, normal, bark ? Tint::bark_cut : wood_tint(from_pith), Label::end_face);
  });
}

bool Recorder::inside_anything(const Eigen::Vector3d& point) const {
  return site_.log.inside_bark(point) ||
         std::any_of(site_.things.begin(), site_.things.end(),
                     [&](const Thing& thing) { return holds(thing.solid, point); });
}

void Recorder::scan_ground() {
  const LogSurface& surface = site_.log.surface;
  const double margin = site_.scene.ground_margin_m;
  const double length = surface.shape().length_m + 2 * margin;
  const double width = 2 * (margin + surface.shape().large_end_diameter_m / 2 + kMarginAcross_m);
  scatter(length, width, scanner_.ground_spacing_m, [&](double a, double b) {
    const Eigen::Vector3d point = site_.on_ground(a - length / 2, b - width / 2);
    const Eigen::Vector3d normal = site_.ground.normal(point.x(), point.y());
    if (shown(point) && !inside_anything(point) && seen_.sees(point, normal)) {
      keep(point, normal, Tint::ground, Label::ground);
    }
  });
}

void Recorder::scan_grass() {
  const double margin = site_.scene.ground_margin_m;
  const double length = site_.log.surface.shape().length_m + 2 * margin;
  const double width = 2 * (margin + kMarginAcross_m);
  const double spacing = 1 / std::sqrt(kBladesPerM2);
  scatter(length, width, spacing, [&](double a, double b) {
    const Eigen::Vector3d foot = site_.on_ground(a - length / 2, b - width / 2);
    const double height = site_.scene.grass_m * std::sqrt(random_.uniform());
    const Eigen::Vector3d lean(random_.uniform(-0.4, 0.4), random_.uniform(-0.4, 0.4), 1);
    const double step = kBladeStep * scanner_.ground_spacing_m;
    const int count = static_cast<int>(height / step) + 1;
    for (int i = 0; i < count; ++i) {
      const Eigen::Vector3d point = foot + i * step * lean;
      // A blade is thin: it is seen from wherever nothing stands between, so its normal is up.
      if (shown(point) && !inside_anything(point) && seen_.sees(point, Eigen::Vector3d::UnitZ())) {
        keep(point, Eigen::Vector3d::UnitZ(), Tint::grass, Label::grass);
      }
    }
  });
}

void Recorder::keep_thing(const Eigen::Vector3d& point, const Eigen::Vector3d& normal, Thing::Kind kind,
                          bool cut_face) {
  const double ground = site_.ground.height_m(point.x(), point.y());
  if (!shown(point) || point.z() < ground || site_.log.inside_bark(point) || !seen_.sees(point, normal) ||
      (share_ < 1 && !random_.chance(share_))) {
    return;
  }
  constexpr std::array<Label, 4> kLabels{Label::bearer, Label::neighbour, Label::stump, Label::clutter};
  const bool weathered = kind == Thing::Kind::bearer || kind == Thing::Kind::clutter;
  keep(point, normal,
       weathered  ? Tint::weathered
       : cut_face ? Tint::wood
                  : Tint::bark,
       kLabels.at(static_cast<std::size_t>(kind)));
}

void Recorder::scan_rectangle(const Frame& face, double spacing_m, Thing::Kind kind) {
  scatter(face.u_length, face.v_length, spacing_m, [&](double a, double b) {
    keep_thing(face.corner + a * face.u + b * face.v, face.normal, kind, false);
  });
}

void Recorder::scan_solid(const Box& box, double spacing_m, Thing::Kind kind) {
  for (int axis = 0; axis < 3; ++axis) {
    const int first = (axis + 1) % 3;
    const int second = (axis + 2) % 3;
    for (const double side : {-1.0, 1.0}) {
      Frame face{box.middle_m,          box.axes.col(first),
                 box.axes.col(second),  side * box.axes.col(axis),
                 2 * box.half_m[first], 2 * box.half_m[second]};
      face.corner +=
          box.half_m[axis] * face.normal - box.half_m[first] * face.u - box.half_m[second] * face.v;
      scan_rectangle(face, spacing_m, kind);
    }
  }
}

void Recorder::scan_solid(const Cylinder& cylinder, double spacing_m, Thing::Kind kind) {
  const Eigen::Vector3d u = cylinder.axis.unitOrthogonal();
  const Eigen::Vector3d v = cylinder.axis.cross(u);
  const double radius = cylinder.radius_m;
  scatter(cylinder.length_m, kTwoPi * radius, spacing_m, [&](double along, double round) {
    const Eigen::Vector3d normal = std::cos(round / radius) * u + std::sin(round / radius) * v;
    keep_thing(cylinder.start_m + along * cylinder.axis + radius * normal, normal, kind, false);
  });
  for (const double end : {0.0, 1.0}) {
    scatter(2 * radius, 2 * radius, spacing_m, [&](double a, double b) {
      const Eigen::Vector3d off = (a - radius) * u + (b - radius) * v;
      if (off.norm() < radius) {
        keep_thing(cylinder.start_m + end * cylinder.length_m * cylinder.axis + off,
                   (2 * end - 1) * cylinder.axis, kind, true);
      }
    });
  }
}

void Recorder::scan_things() {
  for (const Thing& thing : site_.things) {
    share_ = thing.share;
    const double spacing = thing.kind == Thing::Kind::bearer ? scanner_.spacing_m : scanner_.ground_spacing_m;
    std::visit([&](const auto& solid) { scan_solid(solid, spacing, thing.kind); }, thing.solid);
  }
}

ScanPoints Recorder::take() {
  // A real file's points come in no order that means anything, so nothing may depend on ours.
  for (std::size_t i = scan_.points_m.size(); i > 1; --i) {
    const std::size_t j = random_.below(i);
    std::swap(scan_.points_m[i - 1], scan_.points_m[j]);
    std::swap(scan_.colours[i - 1], scan_.colours[j]);
    std::swap(scan_.labels[i - 1], scan_.labels[j]);
  }
  return std::move(scan_);
}

}  // namespace

ScanPoints take_scan(const Site& site, const Scanner& scanner, std::uint64_t seed) {
  check(scanner);
  Recorder recorder(site, scanner, seed);
  recorder.scan_bark();
  if (!site.scene.fork) {  // it grows on there
    recorder.scan_end(site.log.surface.small_end());
  }
  recorder.scan_end(site.log.surface.large_end());
  if (site.scene.ground) {
    recorder.scan_ground();
  }
  if (site.scene.ground && site.scene.grass_m > 0) {
    recorder.scan_grass();
  }
  recorder.scan_things();
  return recorder.take();
}

}  // namespace flitchwise::simulate
