#pragma once
/// What the cameras see: a point counts as seen if one camera sees its surface not too slantingly and nothing
/// stands between. Scan frame, metres.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "simulate/scanner.hpp"
#include "simulate/scene.hpp"

namespace flitchwise::simulate {

class Visibility {
 public:
  Visibility(const Site& site, const Scanner& scanner, std::uint64_t seed);

  /// A point of the log's own surface with its outward normal.
  bool sees_log(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const;
  /// A point of the ground or of a thing with its outward normal.
  bool sees(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const;

  const std::vector<Eigen::Vector3d>& cameras_m() const { return cameras_m_; }
  /// Whether the log stands in a ray's way.
  bool log_blocks(const Ray& ray) const;

 private:
  void fill_radius_table();
  double table_radius_m(double x_m, double theta) const;
  bool seen_by_any(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const;
  bool ground_blocks(const Ray& ray) const;

  const Site& site_;
  bool full_coverage_ = false;
  double least_cosine_ = 0;
  std::vector<Eigen::Vector3d> cameras_m_;
  // Radius over bark without ridges, on a grid over x and theta: marching a ray asks for it very often.
  double table_start_m_ = 0;
  std::size_t table_rows_ = 0;
  std::vector<double> table_;
};

}  // namespace flitchwise::simulate
