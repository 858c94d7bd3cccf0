#pragma once
/// Small scans for the tests of the command line: a short log that can be planned, and scenes that cannot.

#include <Eigen/Core>
#include <functional>
#include <string>
#include <vector>

#include "tools/simulate/simulate.hpp"

namespace flitchwise::testing {

/// The arguments of `flitchwise simulate` for the short log, but for the file.
std::vector<std::string> short_log_arguments();

constexpr double kShortLogLength_mm = 2600;

/// The same scan as points with its truth.
simulate::Simulation short_log();

using Points = std::vector<Eigen::Vector3d>;

/// A binary PLY without colours.
std::string ply_of(const Points& points);
/// A scan's points in the truth's log frame, of which those are kept that `keep` returns true for, and back.
Points kept_points(const simulate::Simulation& scan, const std::function<bool(const Eigen::Vector3d&)>& keep);
/// A scan's points, changed in the truth's log frame.
Points moved_points(const simulate::Simulation& scan,
                    const std::function<Eigen::Vector3d(const Eigen::Vector3d&)>& move);

Points operator+(Points left, const Points& right);

// Scenes in metres, z up, of noisy points.
Points bare_ground();
/// Standing on the ground, its axis upright; with its top.
Points upright_cylinder(double x_m, double y_m, double radius_m, double height_m);
Points random_box(const Eigen::Vector3d& size_m);
Points tilted_plane();
Points ball(double radius_m, double middle_z_m);

}  // namespace flitchwise::testing
