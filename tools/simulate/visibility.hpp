#pragma once
/// What the cameras see: a point counts as seen if one camera sees its surface not too slantingly and nothing
/// stands between. Scan frame, metres.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "tools/simulate/scanner.hpp"
#include "tools/simulate/scene.hpp"

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
  /// One cell along the log: its centre, and radii over bark (without ridges) all round it.
  struct Row {
    Eigen::Vector2d centre_m = Eigen::Vector2d::Zero();
    double most_m = 0;  ///< largest of the radii
    std::vector<double> radius_m;
  };
  void fill_rows();
  const Row& row_at(double x_m) const;

  bool seen_by_any(const Eigen::Vector3d& point_m, const Eigen::Vector3d& normal) const;
  bool ground_blocks(const Ray& ray) const;

  const Site& site_;
  bool full_coverage_ = false;
  double least_cosine_ = 0;
  std::vector<Eigen::Vector3d> cameras_m_;
  // Marching a ray asks for the log's radius very often: far from its surface a row's bounds are enough.
  double rows_start_m_ = 0;
  std::vector<Row> rows_;
};

}  // namespace flitchwise::simulate
