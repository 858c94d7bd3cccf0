#pragma once
/// The plain solids of a scene: bearers, neighbour logs, a stump. Scan frame, metres.

#include <Eigen/Core>
#include <variant>

namespace flitchwise::simulate {

/// A straight line from a camera or a surface point.
struct Ray {
  Eigen::Vector3d start_m = Eigen::Vector3d::Zero();
  Eigen::Vector3d direction = Eigen::Vector3d::UnitX();  ///< unit
  double length_m = 0;
};

struct Cylinder {
  Eigen::Vector3d start_m = Eigen::Vector3d::Zero();  ///< middle of one end face
  Eigen::Vector3d axis = Eigen::Vector3d::UnitX();    ///< unit
  double length_m = 1;
  double radius_m = 0.1;
};

struct Box {
  Eigen::Vector3d middle_m = Eigen::Vector3d::Zero();
  Eigen::Matrix3d axes = Eigen::Matrix3d::Identity();  ///< columns, unit and square to each other
  Eigen::Vector3d half_m = Eigen::Vector3d::Ones();    ///< half of each edge
};

bool hits(const Cylinder& cylinder, const Ray& ray);
bool hits(const Box& box, const Ray& ray);
bool holds(const Cylinder& cylinder, const Eigen::Vector3d& point_m);
bool holds(const Box& box, const Eigen::Vector3d& point_m);

using Solid = std::variant<Cylinder, Box>;
bool hits(const Solid& solid, const Ray& ray);
bool holds(const Solid& solid, const Eigen::Vector3d& point_m);

}  // namespace flitchwise::simulate
