#include "scan/pcl/pcl_adapter.hpp"

#include <pcl/console/print.h>
#include <pcl/features/normal_3d_omp.h>
#include <pcl/point_types.h>
#include <pcl/search/kdtree.h>
#include <pcl/segmentation/sac_segmentation.h>

#include <Eigen/Eigenvalues>
#include <cmath>

namespace flitchwise::scan {
namespace {

using PclCloud = pcl::PointCloud<pcl::PointXYZ>;

constexpr std::size_t kLeastNeighbours = 6;  // fewer do not hold a plane against noise
constexpr int kPlaneTrials = 500;            // a plane with a fifth of the points is missed once in e^4

PclCloud::Ptr to_pcl(const Points& points_m) {
  auto cloud = pcl::make_shared<PclCloud>();
  cloud->reserve(points_m.size());
  for (const Eigen::Vector3f& p : points_m) {
    cloud->emplace_back(p.x(), p.y(), p.z());
  }
  return cloud;
}

/// Least-squares plane through the given points.
PlaneFit refined(const Points& points_m, const pcl::Indices& inliers) {
  PlaneFit fit;
  fit.point_m.setZero();
  for (const int i : inliers) {
    fit.inliers.push_back(static_cast<std::size_t>(i));
    fit.point_m += points_m[static_cast<std::size_t>(i)].cast<double>();
  }
  fit.point_m /= static_cast<double>(inliers.size());
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  for (const std::size_t i : fit.inliers) {
    const Eigen::Vector3d d = points_m[i].cast<double>() - fit.point_m;
    scatter += d * d.transpose();
  }
  fit.normal = Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(scatter).eigenvectors().col(0);
  return fit;
}

}  // namespace

Points estimate_normals(const Points& points_m, double radius_m) {
  pcl::NormalEstimationOMP<pcl::PointXYZ, pcl::Normal> estimation;
  estimation.setInputCloud(to_pcl(points_m));
  estimation.setSearchMethod(pcl::make_shared<pcl::search::KdTree<pcl::PointXYZ>>());
  estimation.setRadiusSearch(radius_m);
  pcl::PointCloud<pcl::Normal> found;
  estimation.compute(found);
  Points normals(points_m.size(), Eigen::Vector3f::Zero());
  for (std::size_t i = 0; i < normals.size(); ++i) {
    const Eigen::Vector3f n = found[i].getNormalVector3fMap();
    if (n.allFinite()) {
      normals[i] = n;
    }
  }
  return normals;
}

std::optional<PlaneFit> fit_plane(const Points& points_m, double tolerance_m,
                                  const Eigen::Vector3d& near_normal, double most_angle_rad) {
  if (points_m.size() < kLeastNeighbours) {
    return std::nullopt;
  }
  pcl::console::setVerbosityLevel(pcl::console::L_ALWAYS);  // no plane is an answer, not a message on stderr
  pcl::SACSegmentation<pcl::PointXYZ> segmentation;         // its random numbers start from a fixed seed
  const bool bound_to_normal = near_normal.squaredNorm() > 0;
  segmentation.setModelType(bound_to_normal ? pcl::SACMODEL_PERPENDICULAR_PLANE : pcl::SACMODEL_PLANE);
  if (bound_to_normal) {
    segmentation.setAxis(near_normal.cast<float>());
    segmentation.setEpsAngle(most_angle_rad);
  }
  segmentation.setMethodType(pcl::SAC_RANSAC);
  segmentation.setDistanceThreshold(tolerance_m);
  segmentation.setMaxIterations(kPlaneTrials);
  segmentation.setOptimizeCoefficients(false);
  segmentation.setInputCloud(to_pcl(points_m));
  pcl::PointIndices inliers;
  pcl::ModelCoefficients coefficients;
  segmentation.segment(inliers, coefficients);
  if (inliers.indices.size() < kLeastNeighbours) {
    return std::nullopt;
  }
  return refined(points_m, inliers.indices);
}

struct NeighbourSearch::Tree {
  pcl::search::KdTree<pcl::PointXYZ> tree;
};

NeighbourSearch::NeighbourSearch(const Points& points_m) : tree_(std::make_unique<Tree>()) {
  tree_->tree.setInputCloud(to_pcl(points_m));
}

NeighbourSearch::~NeighbourSearch() = default;

std::vector<std::size_t> NeighbourSearch::within(const Eigen::Vector3f& centre_m, double radius_m) const {
  pcl::Indices indices;
  std::vector<float> squared_distances;
  tree_->tree.radiusSearch(pcl::PointXYZ(centre_m.x(), centre_m.y(), centre_m.z()), radius_m, indices,
                           squared_distances);
  return {indices.begin(), indices.end()};
}

}  // namespace flitchwise::scan
