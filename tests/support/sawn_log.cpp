#include "tests/support/sawn_log.hpp"

#include <boost/geometry.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>
#include <cmath>

namespace flitchwise::testing {
namespace {

namespace bg = boost::geometry;
using Point = bg::model::d2::point_xy<double>;
using Polygon = bg::model::polygon<Point>;
using Polygons = bg::model::multi_polygon<Polygon>;

constexpr double kFar = 2;            // m: outside any log
constexpr double kSliver_m2 = 1e-10;  // what rounding leaves between two cuts

Polygon polygon_of(const Outline& outline) {
  Polygon polygon;
  for (const Eigen::Vector2d& corner : outline) {
    bg::append(polygon.outer(), Point(corner.x(), corner.y()));
  }
  bg::correct(polygon);
  return polygon;
}

/// The strip between two distances from where the plane meets the section, as far as any log reaches.
Polygon strip(const solver::CutPlane& plane, double x_m, double from_m, double to_m) {
  const Eigen::Vector2d across(plane.normal.y(), plane.normal.z());
  // Distances are square to the plane; within the section they are longer by its slope.
  const double offset = (plane.normal.dot(plane.point_m) - plane.normal.x() * x_m) / across.norm();
  const Eigen::Vector2d normal = across.normalized();
  const Eigen::Vector2d along(-normal.y(), normal.x());
  Outline outline;
  for (const auto& [distance, s] : {std::pair{from_m, -kFar}, {from_m, kFar}, {to_m, kFar}, {to_m, -kFar}}) {
    outline.emplace_back((offset + distance / across.norm()) * normal + s * along);
  }
  return polygon_of(outline);
}

Polygons kerf_area(const Kerf& kerf, double x_m) {
  Polygons area{strip(kerf.plane, x_m, kerf.from_m, kerf.to_m)};
  if (kerf.within) {
    Polygons below;
    bg::intersection(area, strip(kerf.below, x_m, -kFar, 0), below);
    area.clear();
    bg::intersection(below, strip(kerf.above, x_m, 0, kFar), area);
  }
  return area;
}

}  // namespace

std::vector<Outline> sawn_pieces(const Outline& section, const std::vector<Kerf>& kerfs, double x_m) {
  Polygons wood{polygon_of(section)};
  for (const Kerf& kerf : kerfs) {
    Polygons left;
    bg::difference(wood, kerf_area(kerf, x_m), left);
    wood = std::move(left);
  }
  std::vector<Outline> pieces;
  for (const Polygon& piece : wood) {
    if (bg::area(piece) < kSliver_m2) {
      continue;
    }
    Outline outline;
    for (std::size_t i = 0; i + 1 < piece.outer().size(); ++i) {  // the last corner is the first again
      outline.emplace_back(piece.outer()[i].x(), piece.outer()[i].y());
    }
    pieces.push_back(std::move(outline));
  }
  return pieces;
}

double area_m2(const Outline& outline) {
  return bg::area(polygon_of(outline));
}

double area_outside_m2(const Outline& a, const Outline& b) {
  Polygons outside;
  bg::difference(polygon_of(a), polygon_of(b), outside);
  return bg::area(outside);
}

bool contains(const Outline& outline, const Eigen::Vector2d& point) {
  return bg::within(Point(point.x(), point.y()), polygon_of(outline));
}

}  // namespace flitchwise::testing
