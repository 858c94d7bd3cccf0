#pragma once
/// Cuts carried out on cross-sections by Boost.Geometry's polygon difference. Shares no geometry with the
/// solver.

#include <Eigen/Core>
#include <vector>

#include "solver/plan/plan.hpp"

namespace flitchwise::testing {

/// Corners (y, z) of a simple polygon.
using Outline = std::vector<Eigen::Vector2d>;

/// One kerf through a cross-section at some x: between `from_m` and `to_m` square from the plane. It
/// reaches as far as any log, or only between two other planes.
struct Kerf {
  solver::CutPlane plane;
  double from_m = 0;
  double to_m = 0;
  bool within = false;
  solver::CutPlane below;  ///< with `within`: the kerf lies below this plane
  solver::CutPlane above;  ///< with `within`: and above this one
};

/// What is left of the section at x once every kerf is sawn out of it; slivers below 1e-10 m2 left out.
std::vector<Outline> sawn_pieces(const Outline& section, const std::vector<Kerf>& kerfs, double x_m);

double area_m2(const Outline& outline);
/// Area of `a` that lies outside `b`.
double area_outside_m2(const Outline& a, const Outline& b);
bool contains(const Outline& outline, const Eigen::Vector2d& point);

}  // namespace flitchwise::testing
