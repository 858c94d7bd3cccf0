#include "scan/fit/bark_edge.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr int kSectors = 8;
constexpr double kOutside_m = 0.006;    // points of the bark's outside beside the rim, by scan noise
constexpr double kRim_m = 0.003;        // surely bark
constexpr double kInner_m = 0.025;      // mostly wood from here in
constexpr double kDeepest_m = 0.055;    // looked at
constexpr double kLeastBark_m = 0.002;  // thinner is the blur of the rim itself
constexpr double kMostBark_m = 0.045;
// A sector: coarse scans, which have fewer, blur the edge by as much as the bark is thick.
constexpr std::size_t kLeastPoints = 30;
constexpr std::size_t kLeastASide = 4;   // of the edge, from which to learn its colour
constexpr double kLeastContrast = 0.15;  // of the wood's lightness: shade makes less over a few cm
// Between dark (0) and light (1): dirt on the face lies above it, the sawn bark below.
constexpr double kDarkShare = 0.4;
constexpr double kMostMisplaced = 0.2;  // of the points, on the wrong side of the edge
constexpr double kClearShare = 0.6;     // of the sectors with enough points
constexpr std::size_t kLeastClear = 4;
constexpr double kMostSigma_m = 0.003;  // or half of the thickness: more is no measurement
constexpr double kMostSigmaShare = 0.5;
// Colours are laid on the points from photographs that fit to a pixel or two, and the saw smears the edge
// (judgement, no source).
constexpr double kEdgeBlur_m = 0.0015;
// Four of five deviations lie within 1.28 sigma: one sector with a strip torn off is no spread, half of them
// are.
constexpr double kSpreadQuantile = 0.8;
constexpr double kQuantileSigmas = 1.2816;

/// Lightness of the points between two depths; empty if they are too few to tell.
std::optional<double> lightness_of(const std::vector<RimPoint>& sector, double from_m, double to_m) {
  std::vector<double> values;
  for (const RimPoint& p : sector) {
    if (p.depth_m >= from_m && p.depth_m < to_m) {
      values.push_back(p.lightness);
    }
  }
  return values.size() < kLeastASide ? std::nullopt : std::optional(median(std::move(values)));
}

/// The depth that leaves the fewest light points outside it and dark ones inside; empty if the sector shows
/// no clear edge.
std::optional<double> edge_m(std::vector<RimPoint> sector) {
  const auto bark = lightness_of(sector, -kOutside_m, kRim_m);
  const auto wood = lightness_of(sector, kInner_m, kDeepest_m);
  if (sector.size() < kLeastPoints || !bark || !wood || *bark > (1 - kLeastContrast) * *wood) {
    return std::nullopt;
  }
  std::sort(sector.begin(), sector.end(), [](const auto& a, const auto& b) { return a.depth_m < b.depth_m; });
  const double limit = *bark + kDarkShare * (*wood - *bark);
  const auto is_dark = [&](const RimPoint& p) { return p.lightness < limit; };
  auto misplaced = std::count_if(sector.begin(), sector.end(), is_dark);  // as if no bark were there
  auto fewest = misplaced;
  std::optional<double> best;
  for (std::size_t i = 0; i + 1 < sector.size(); ++i) {
    misplaced += is_dark(sector[i]) ? -1 : 1;
    if (misplaced < fewest) {
      fewest = misplaced;
      best = (sector[i].depth_m + sector[i + 1].depth_m) / 2;
    }
  }
  const bool clear = best &&
                     static_cast<double>(fewest) < kMostMisplaced * static_cast<double>(sector.size()) &&
                     *best > kLeastBark_m && *best < kMostBark_m;
  return clear ? best : std::nullopt;
}

std::vector<RimPoint> rim_points(const std::vector<EndFacePoint>& face, const FittedLog& fitted) {
  std::vector<RimPoint> rim;
  for (const EndFacePoint& p : face) {
    if (!p.colour) {
      continue;
    }
    const Eigen::Vector3d in_log = fitted.frame.to_log(p.point_m);
    const Eigen::Vector2d off = in_log.tail<2>() - fitted.centreline.at(in_log.x());
    const double theta = std::atan2(off.y(), off.x());
    const double depth_m = fitted.surface.radius_m(in_log.x(), theta) - off.norm();
    if (depth_m > -kOutside_m && depth_m < kDeepest_m) {
      const double lightness = ((*p.colour)[0] + (*p.colour)[1] + (*p.colour)[2]) / 3.0;
      rim.push_back({depth_m, theta < 0 ? theta + 2 * pi : theta, lightness});
    }
  }
  return rim;
}

}  // namespace

std::optional<BarkEstimate> bark_from_rims(const std::vector<RimPoint>& first_face,
                                           const std::vector<RimPoint>& last_face) {
  std::vector<double> edges;
  std::size_t enough = 0;
  for (const auto* face : {&first_face, &last_face}) {
    std::vector<std::vector<RimPoint>> sectors(kSectors);
    for (const RimPoint& p : *face) {
      const int sector = std::min(kSectors - 1, static_cast<int>(p.theta_rad / (2 * pi) * kSectors));
      sectors[static_cast<std::size_t>(sector)].push_back(p);
    }
    for (const auto& sector : sectors) {
      enough += sector.size() >= kLeastPoints ? 1 : 0;
      if (const auto edge = edge_m(sector)) {
        edges.push_back(*edge);
      }
    }
  }
  if (edges.size() < kLeastClear ||
      static_cast<double>(edges.size()) < kClearShare * static_cast<double>(enough)) {
    return std::nullopt;
  }
  const double thickness_m = median(edges);
  std::vector<double> off;
  for (const double edge : edges) {
    off.push_back(std::abs(edge - thickness_m));
  }
  const double sigma_m = std::hypot(quantile(std::move(off), kSpreadQuantile) / kQuantileSigmas, kEdgeBlur_m);
  if (sigma_m > std::max(kMostSigma_m, kMostSigmaShare * thickness_m)) {
    return std::nullopt;
  }
  return BarkEstimate{thickness_m, sigma_m, {BarkSource::Kind::ends, 0, {}, {}}};
}

std::optional<BarkEstimate> measure_bark(const LogCloud& log_cloud, const FittedLog& fitted) {
  return bark_from_rims(rim_points(log_cloud.first_face, fitted), rim_points(log_cloud.last_face, fitted));
}

}  // namespace flitchwise::scan
