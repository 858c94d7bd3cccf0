#include "scan/pcl/pcl_registration.hpp"

#include <pcl/point_types.h>
#include <pcl/registration/transformation_estimation_symmetric_point_to_plane_lls.h>
#include <pcl/search/kdtree.h>

#include <cmath>

namespace flitchwise::scan {
namespace {

using PclCloud = pcl::PointCloud<pcl::PointNormal>;

constexpr std::size_t kLeastPairs = 50;  // far more than the six unknowns, so that single pairs do not count
constexpr double kSettled_m = 2e-5;      // a round that moves the scan by less is the last one
constexpr double kMostTurn = 0.5;        // radians a round
constexpr float kSameSense = 0.7F;       // cosine between the normals of a pair: 45 degrees

PclCloud::Ptr to_pcl(const SurfacePoints& surface) {
  auto cloud = pcl::make_shared<PclCloud>();
  cloud->reserve(surface.points_m.size());
  for (std::size_t i = 0; i < surface.points_m.size(); ++i) {
    pcl::PointNormal p;
    p.getVector3fMap() = surface.points_m[i];
    p.getNormalVector3fMap() = surface.normals[i];
    cloud->push_back(p);
  }
  return cloud;
}

/// A float matrix is a rotation to seven digits only.
Eigen::Isometry3d rigid(const Eigen::Matrix4d& matrix) {
  Eigen::Isometry3d pose(Eigen::Quaterniond(Eigen::Matrix3d(matrix.topLeftCorner<3, 3>())).normalized());
  pose.pretranslate(Eigen::Vector3d(matrix.topRightCorner<3, 1>()));
  return pose;
}

}  // namespace

struct RegistrationTarget::Tree {
  PclCloud::Ptr cloud;
  pcl::search::KdTree<pcl::PointNormal> search;
};

RegistrationTarget::RegistrationTarget(const SurfacePoints& target)
    : target_(target), tree_(std::make_unique<Tree>()) {
  tree_->cloud = to_pcl(target);
  tree_->search.setInputCloud(tree_->cloud);
}

RegistrationTarget::~RegistrationTarget() = default;

std::vector<Match> RegistrationTarget::matches(const SurfacePoints& source,
                                               const Eigen::Isometry3d& target_from_source,
                                               double reach_m) const {
  std::vector<Match> found;
  const Eigen::Isometry3f pose = target_from_source.cast<float>();
  pcl::Indices index(1);
  std::vector<float> squared(1);
  for (std::size_t i = 0; i < source.points_m.size(); ++i) {
    pcl::PointNormal p;
    p.getVector3fMap() = pose * source.points_m[i];
    if (tree_->search.nearestKSearch(p, 1, index, squared) == 1 &&
        static_cast<double>(squared[0]) <= reach_m * reach_m) {
      found.push_back({i, static_cast<std::size_t>(index[0])});
    }
  }
  return found;
}

Eigen::Isometry3d RegistrationTarget::refine(const SurfacePoints& source, const Eigen::Isometry3d& guess,
                                             const Reach& reach, int rounds) const {
  // Symmetric: both normals count, so that round wood whose points lie between each other's fits without
  // bias.
  pcl::registration::TransformationEstimationSymmetricPointToPlaneLLS<pcl::PointNormal, pcl::PointNormal,
                                                                      double>
      estimation;
  estimation.setEnforceSameDirectionNormals(true);
  Eigen::Isometry3d pose = guess;
  for (int round = 0; round < rounds; ++round) {
    const Eigen::Isometry3f pose_f = pose.cast<float>();
    PclCloud moved;
    PclCloud onto;
    for (const Match& match : matches(source, pose, reach.most_m)) {
      pcl::PointNormal p;
      p.getVector3fMap() = pose_f * source.points_m[match.source];
      p.getNormalVector3fMap() = pose_f.linear() * source.normals[match.source];
      const Eigen::Vector3f& normal = target_.normals[match.target];
      const Eigen::Vector3f apart = p.getVector3fMap() - target_.points_m[match.target];
      if (std::abs(normal.dot(Eigen::Vector3f(p.getNormalVector3fMap()))) >= kSameSense &&
          static_cast<double>((apart - apart.dot(normal) * normal).norm()) <= reach.beside_m) {
        moved.push_back(p);
        onto.push_back((*tree_->cloud)[match.target]);
      }
    }
    if (moved.size() < kLeastPairs) {
      return round == 0 ? guess : pose;
    }
    Eigen::Matrix4d step;
    estimation.estimateRigidTransformation(moved, onto, step);
    // Where nothing holds it, the equations have no solution or one far off.
    const double change = (step - Eigen::Matrix4d::Identity()).norm();
    if (!step.allFinite() || change > reach.most_m + kMostTurn) {
      return pose;
    }
    pose = rigid(step) * pose;
    if (change < kSettled_m) {
      break;
    }
  }
  return pose;
}

}  // namespace flitchwise::scan
