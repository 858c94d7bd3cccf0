#include "scan/fit/rims.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kMeanGap_m =
    0.0035;  // wanted from a sector's last point to the rim: sets the sectors' width
constexpr double kMostSectors = 45;
constexpr double kLeastSectors = 15;
constexpr double kDenseFrom = 0.45;  // of the outline's radius: between these a face's points are counted
constexpr double kDenseTo = 0.85;
constexpr double kLeastPoints = 4;  // between these, in a sector
constexpr double kGap = 5;          // mean distances between points: one in 150 is that wide by chance
constexpr double kLeastGap_m = 0.006;
constexpr double kFarthest = 1.35;         // of the outline's radius
constexpr double kBarkDepth_m = 0.1;       // behind the face: bark points there show that the sector was seen
constexpr double kBarkBand_m = 0.02;       // around the surface
constexpr double kSeenShare = 0.25;        // of the usual number of bark points
constexpr std::size_t kLeastSeen = 4;      // sectors
constexpr double kMostScatterShare = 0.1;  // of the radius: such a rim is chipped, hidden or no rim
constexpr double kMostScatter_m = 0.015;
constexpr double kLeastScatter_m =
    0.002;  // of a rim, however fine the scan: bark, saw, and points that end short
// What the rim is off the bark is known, by a median, from about as many sectors as it is applied to.
constexpr double kBiasVariance = 1.57;
constexpr double kTellsNothing = 0.25;  // of its deviation: where the bark is known so well already

/// A point of a face, or of the bark behind it.
struct FacePoint {
  double share = 0;     ///< its radius over the outline's at its angle
  double over_m = 0;    ///< its radius less the outline's
  double beyond_m = 0;  ///< out of the face's plane
};

struct Sector {
  double outline_m = 0;  ///< radius in its middle
  double x_m = 0;
  std::vector<FacePoint> face;
  double bark = 0;  ///< points
};

/// Where the face's points end, going outwards from its dense part, as a height over the outline. The rim is
/// expected one mean distance behind the last point: less than for points that lie by chance, since scans are
/// thinned and spread evenly.
std::optional<double> rim_over_m(std::vector<FacePoint> points, double outline_m, double points_a_m2) {
  std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.over_m < b.over_m; });
  const auto count = static_cast<double>(std::count_if(points.begin(), points.end(), [](const auto& p) {
    return p.share > kDenseFrom && p.share <= kDenseTo;
  }));
  if (count < kLeastPoints) {
    return std::nullopt;
  }
  // Points a metre of radius, beside the rim: a sector widens with the radius.
  const double middle = (kDenseFrom + kDenseTo) / 2;
  const double per_m = count / ((kDenseTo - kDenseFrom) * outline_m) / middle;
  const double spacing_m = 1 / std::sqrt(points_a_m2);
  const double gap_m = std::max(kLeastGap_m, kGap / per_m);
  double last_m = (kDenseTo - 1) * outline_m;
  for (const FacePoint& p : points) {
    if (p.share > kDenseTo) {
      if (p.over_m - last_m > gap_m) {
        break;
      }
      last_m = p.over_m;
    }
  }
  return last_m < (kFarthest - 1) * outline_m ? std::optional(last_m + 1 / (per_m + 1 / spacing_m))
                                              : std::nullopt;
}

/// One face of the log and the surface that it cuts.
class Face {
 public:
  Face(const LogFrame& frame, const Centreline& centreline, const FittedLog& before, const EndPlane& in_scan)
      : frame_(frame),
        centreline_(centreline),
        surface_(before.surface),
        end_{frame.to_log(in_scan.point_m), frame.scan_from_log.transpose() * in_scan.normal, true} {}

  std::vector<RimRadius> rims(const std::vector<EndFacePoint>& face, const LogCloud& log_cloud);

 private:
  double outline_m(double x_m, double theta) const { return surface_.radius_m(x_m, theta); }
  double x_at(double theta) const;
  void fill(const std::vector<EndFacePoint>& face, const LogCloud& log_cloud);

  const LogFrame& frame_;
  const Centreline& centreline_;
  const SmoothSurface& surface_;
  EndPlane end_;
  double points_a_m2_ = 0;
  std::vector<Sector> sectors_;
};

/// Where the outline at an angle meets the plane.
double Face::x_at(double theta) const {
  const double x_m = end_.point_m.x();
  const Eigen::Vector2d rim =
      centreline_.at(x_m) + outline_m(x_m, theta) * Eigen::Vector2d(std::cos(theta), std::sin(theta));
  const double slanted_m = x_m - end_.normal.tail<2>().dot(rim - end_.point_m.tail<2>()) / end_.normal.x();
  return std::clamp(slanted_m, surface_.basis.begin_m(), surface_.basis.end_m());
}

void Face::fill(const std::vector<EndFacePoint>& face, const LogCloud& log_cloud) {
  const double usual_m = outline_m(end_.point_m.x(), 0);
  double inner = 0;
  for (const EndFacePoint& p : face) {
    inner += (p.point_m - frame_.to_scan(end_.point_m)).norm() < kDenseTo * usual_m ? 1 : 0;
  }
  points_a_m2_ = inner / (pi * kDenseTo * kDenseTo * usual_m * usual_m);
  const auto count = static_cast<std::size_t>(
      std::clamp(2 * pi * usual_m * kMeanGap_m * points_a_m2_, kLeastSectors, kMostSectors));
  sectors_.assign(count, {});
  for (std::size_t k = 0; k < count; ++k) {
    const double theta = 2 * pi * (static_cast<double>(k) + 0.5) / static_cast<double>(count);
    sectors_[k].x_m = x_at(theta);
    sectors_[k].outline_m = outline_m(sectors_[k].x_m, theta);
  }
  const auto place = [&](const Eigen::Vector3d& in_scan_m, FacePoint& point) -> Sector& {
    const Eigen::Vector3d q = frame_.to_log(in_scan_m);
    const Eigen::Vector2d off = q.tail<2>() - centreline_.at(q.x());
    const double theta = std::atan2(off.y(), off.x());
    const double here_m =
        outline_m(std::clamp(q.x(), surface_.basis.begin_m(), surface_.basis.end_m()), theta);
    point = {off.norm() / here_m, off.norm() - here_m, end_.normal.dot(q - end_.point_m)};
    const double turn = theta / (2 * pi);
    const auto k = static_cast<std::size_t>((turn < 0 ? turn + 1 : turn) * static_cast<double>(count));
    return sectors_[std::min(count - 1, k)];
  };
  for (const EndFacePoint& p : face) {
    FacePoint point;
    place(p.point_m, point).face.push_back(point);
  }
  for (const Eigen::Vector3d& p : log_cloud.surface_m) {
    if (std::abs(end_.normal.dot(frame_.to_log(p) - end_.point_m) + kBarkDepth_m) < kBarkDepth_m) {
      FacePoint point;
      Sector& sector = place(p, point);
      sector.bark += std::abs(point.over_m) < kBarkBand_m && point.beyond_m < -kLeastGap_m ? 1 : 0;
    }
  }
}

std::vector<RimRadius> Face::rims(const std::vector<EndFacePoint>& face, const LogCloud& log_cloud) {
  fill(face, log_cloud);
  std::vector<double> upper;
  for (std::size_t k = 0; k < sectors_.size() / 2; ++k) {  // from 0 to half a turn: the upper side
    upper.push_back(sectors_[k].bark);
  }
  const double enough = std::max(1.0, kSeenShare * median(std::move(upper)));
  std::vector<RimRadius> rims;
  std::vector<char> seen;
  std::vector<double> seen_over_m;
  for (std::size_t k = 0; k < sectors_.size(); ++k) {
    const Sector& sector = sectors_[k];
    if (const auto over_m = rim_over_m(sector.face, sector.outline_m, points_a_m2_)) {
      const double theta = 2 * pi * (static_cast<double>(k) + 0.5) / static_cast<double>(sectors_.size());
      rims.push_back({sector.x_m, theta, sector.outline_m + *over_m, 0});
      seen.push_back(sector.bark >= enough ? 1 : 0);
      if (seen.back() == 1) {
        seen_over_m.push_back(*over_m);
      }
    }
  }
  const double bias_m = median(seen_over_m);
  const double scatter_m = std::max(kLeastScatter_m, mad_sigma(seen_over_m, bias_m));
  const double most_m = std::min(kMostScatter_m, kMostScatterShare * outline_m(end_.point_m.x(), 0));
  if (seen_over_m.size() < kLeastSeen || std::max(scatter_m, std::abs(bias_m)) > most_m) {
    return {};
  }
  std::vector<RimRadius> telling;
  for (std::size_t i = 0; i < rims.size(); ++i) {
    RimRadius& rim = rims[i];
    // Outside of the bark lie only its own points behind the face, which are missing where it was not seen.
    // Short of it falls a rim that is blurred, there as here.
    rim.radius_m -= seen[i] == 1 ? bias_m : std::min(0.0, bias_m);
    rim.sigma_m = std::sqrt(1 + kBiasVariance) * scatter_m;
    const double known_m =
        std::sqrt(surface_.basis.variance(surface_.covariance, rim.x_m, fourier_terms(rim.theta_rad)));
    if (known_m > kTellsNothing * rim.sigma_m) {
      telling.push_back(rim);
    }
  }
  return telling;
}

}  // namespace

std::vector<RimRadius> rim_radii(const LogCloud& log_cloud, const LogFrame& frame,
                                 const Centreline& centreline, const FittedLog& before) {
  std::vector<RimRadius> all;
  for (const bool first : {true, false}) {
    Face face(frame, centreline, before, first ? log_cloud.first_end : log_cloud.last_end);
    const std::vector<RimRadius> rims =
        face.rims(first ? log_cloud.first_face : log_cloud.last_face, log_cloud);
    all.insert(all.end(), rims.begin(), rims.end());
  }
  return all;
}

}  // namespace flitchwise::scan
