#include "scan/find/log_ends.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>
#include <optional>

#include "scan/model/robust.hpp"
#include "scan/model/units.hpp"

namespace flitchwise::scan {
namespace {

constexpr double kFaceShare = 0.85;    // of the radius: nearer to the rim bark and chips blur the face
constexpr double kSearchOut_m = 0.30;  // the track stops short of the end or runs past it by a few steps
constexpr double kSearchIn_m = 0.35;
constexpr double kFaceTolerance_m = 0.012;  // saw marks and scan noise
constexpr double kMostTilt_rad = 30 * kRadADegree;
constexpr double kLeastCovered = 0.30;  // of the face; floaters inside an open end cover less
constexpr int kFaceCells = 8;           // across the diameter
constexpr double kSurfaceBand = 0.25;   // of the radius around the track, for where the surface stops
constexpr double kSurfaceBin_m = 0.02;
constexpr double kSurfaceStops = 0.3;  // of the usual number of points a bin
constexpr int kMostPlanes = 4;         // tried: a block or a leg before the face may show a plane, too
// The bark stops at a face: over this stretch behind it lies at most that share of what lies before it.
constexpr double kStopNear_m = 0.02;
constexpr double kStopFar_m = 0.12;
constexpr double kStopShare = 0.5;
// Or there is an open slit, behind which another thing begins.
constexpr double kOpenNear_m = 0.015;
constexpr double kOpenFar_m = 0.035;
constexpr double kOpenShare = 0.3;  // of the bark's usual points

// A face in the middle of a track.
constexpr double kFacingCosine = 0.8;  // between a face's normal and the track: its tilt and noise
constexpr double kInsideBin_m = 0.02;
constexpr double kLeastInside = 0.15;       // of the face's cells in a bin: a tilted face lies in several
constexpr double kFaceReach_m = 0.12;       // from such a bin: half a tilted face
constexpr double kBeyond_m = 0.12;          // a track that ends no further behind the face ends at it
constexpr double kLeastBarkPerFace = 0.25;  // points on the bark before a face to points on it
constexpr std::size_t kLeastPiece = 3;      // points of a track

// The points of a face.
constexpr double kOffPlane_m = 0.012;  // saw marks and scan noise, as for the plane itself
constexpr double kFaceReach = 1.3;     // of the radius: a butt flares

/// Share of the face's cells that hold points.
double covered_share(const Points& points_m, const std::vector<std::size_t>& inliers,
                     const TrackFrame& frame) {
  const Eigen::Vector3d u = frame.axis().unitOrthogonal();
  const Eigen::Vector3d v = frame.axis().cross(u);
  std::array<bool, static_cast<std::size_t>(kFaceCells * kFaceCells)> occupied{};
  for (const std::size_t i : inliers) {
    const auto place = frame.place_of(points_m[i].cast<double>());
    const double half = kFaceShare * place.radius_m;
    const auto cell = [half](double d) {
      return std::clamp(static_cast<int>((d / half + 1) / 2 * kFaceCells), 0, kFaceCells - 1);
    };
    occupied[static_cast<std::size_t>(cell(u.dot(place.across_m)) * kFaceCells +
                                      cell(v.dot(place.across_m)))] = true;
  }
  const double disc_cells = std::numbers::pi / 4 * kFaceCells * kFaceCells;
  return static_cast<double>(std::count(occupied.begin(), occupied.end(), true)) / disc_cells;
}

/// Where the centreline meets the plane, starting from a place along the chord.
Eigen::Vector3d centre_on(const PlaneFit& plane, const TrackFrame& frame, double along_m) {
  Eigen::Vector3d centre = frame.centre_at(along_m);
  for (int round = 0; round < 3; ++round) {
    along_m += plane.normal.dot(plane.point_m - centre) / plane.normal.dot(frame.axis());
    centre = frame.centre_at(along_m);
  }
  return centre;
}

/// Last place along the chord, going outwards, where the surface is as dense as usual.
double surface_stop_m(const Points& points_m, const TrackFrame& frame, double outwards) {
  const double reach_m = frame.chord_m() + 2 * kSearchOut_m;
  std::vector<double> counts(static_cast<std::size_t>(reach_m / kSurfaceBin_m) + 1, 0);
  for (const Eigen::Vector3f& p : points_m) {
    const auto place = frame.place_of(p.cast<double>());
    const double bin = (place.along_m + kSearchOut_m) / kSurfaceBin_m;
    if (std::abs(place.across_m.norm() - place.radius_m) < kSurfaceBand * place.radius_m && bin >= 0 &&
        bin < static_cast<double>(counts.size())) {
      counts[static_cast<std::size_t>(bin)] += 1;
    }
  }
  const double enough = kSurfaceStops * median(counts);
  const auto first = std::find_if(counts.begin(), counts.end(), [&](double c) { return c > enough; });
  const auto last = std::find_if(counts.rbegin(), counts.rend(), [&](double c) { return c > enough; });
  const double bins =
      outwards > 0 ? static_cast<double>(counts.rend() - last) : static_cast<double>(first - counts.begin());
  return bins * kSurfaceBin_m - kSearchOut_m;
}

/// Points about one end of the track.
struct AroundEnd {
  Points inside;  ///< within the outline, where the face is
  Points bark;    ///< near the outline
};

AroundEnd points_around(const Points& points_m, const TrackFrame& frame, double end_m, double outwards,
                        double in_m = kSearchIn_m, double out_m = kSearchOut_m) {
  AroundEnd around;
  for (const Eigen::Vector3f& p : points_m) {
    const auto place = frame.place_of(p.cast<double>());
    const double beyond_m = (place.along_m - end_m) * outwards;
    const double distance_m = place.across_m.norm();
    if (beyond_m < -in_m - kStopFar_m || beyond_m > out_m + kStopFar_m) {
      continue;
    }
    if (std::abs(distance_m - place.radius_m) < kSurfaceBand * place.radius_m) {
      around.bark.push_back(p);
    }
    if (beyond_m > -in_m && beyond_m < out_m && distance_m < kFaceShare * place.radius_m) {
      around.inside.push_back(p);
    }
  }
  return around;
}

/// Whether the bark stops at the end, of which at least so many points must lie before it.
bool bark_stops_at(const EndPlane& end, const Points& bark, double least_before = 0) {
  double before = 1;
  double behind = 0;
  double just_behind = 0;
  for (const Eigen::Vector3f& p : bark) {
    const double beyond_m = end.normal.dot(p.cast<double>() - end.point_m);
    before += beyond_m < -kStopNear_m && beyond_m > -kStopFar_m ? 1 : 0;
    behind += beyond_m > kStopNear_m && beyond_m < kStopFar_m ? 1 : 0;
    just_behind += beyond_m > kOpenNear_m && beyond_m < kOpenFar_m ? 1 : 0;
  }
  const double usual = before * (kOpenFar_m - kOpenNear_m) / (kStopFar_m - kStopNear_m);
  return before > least_before && (behind < kStopShare * before || just_behind < kOpenShare * usual);
}

void remove(const std::vector<std::size_t>& indices, Points& points_m) {
  std::vector<char> gone(points_m.size(), 0);
  for (const std::size_t i : indices) {
    gone[i] = 1;
  }
  std::size_t i = 0;
  std::erase_if(points_m, [&](const Eigen::Vector3f&) { return gone[i++] == 1; });
}

/// `outwards` is +1 at the track's last point and -1 at its first.
EndPlane find_end(const Points& points_m, const TrackFrame& frame, double outwards) {
  const double end_m = outwards > 0 ? frame.chord_m() : 0;
  AroundEnd around = points_around(points_m, frame, end_m, outwards);
  EndPlane end;
  for (int round = 0; round < kMostPlanes; ++round) {
    const auto plane = fit_plane(around.inside, kFaceTolerance_m, frame.axis(), kMostTilt_rad);
    if (!plane) {
      break;
    }
    end.normal = plane->normal * (plane->normal.dot(frame.axis()) * outwards < 0 ? -1 : 1);
    end.point_m = centre_on(*plane, frame, end_m);
    if (covered_share(around.inside, plane->inliers, frame) >= kLeastCovered &&
        bark_stops_at(end, around.bark)) {
      end.seen = true;
      return end;
    }
    remove(plane->inliers, around.inside);
  }
  end.normal = frame.axis() * outwards;
  // A bin further in: the surface may stop within the last one.
  end.point_m = frame.centre_at(surface_stop_m(points_m, frame, outwards) - outwards * kSurfaceBin_m);
  return end;
}

/// Whether there is nothing just behind a face: where a log forks, its stems begin there.
bool is_open_behind(const EndPlane& end, const AroundEnd& around) {
  double before = 1;
  double behind = 0;
  for (const Eigen::Vector3f& p : around.bark) {
    const double beyond_m = end.normal.dot(p.cast<double>() - end.point_m);
    before += beyond_m < -kStopNear_m && beyond_m > -kStopFar_m ? 1 : 0;
    behind += beyond_m > kOpenNear_m && beyond_m < kOpenFar_m ? 1 : 0;
  }
  for (const Eigen::Vector3f& p : around.inside) {
    const double beyond_m = end.normal.dot(p.cast<double>() - end.point_m);
    behind += beyond_m > kOpenNear_m && beyond_m < kOpenFar_m ? 1 : 0;
  }
  return behind < kOpenShare * before * (kOpenFar_m - kOpenNear_m) / (kStopFar_m - kStopNear_m);
}

/// Places along the chord where scene points face along the track within its outline, all over it.
std::vector<double> places_of_faces(const Scene& scene, const TrackFrame& frame) {
  const auto bins = static_cast<std::size_t>(frame.chord_m() / kInsideBin_m) + 1;
  std::vector<Points> inside(bins);
  for (std::size_t i = 0; i < scene.points.size(); ++i) {
    const auto place = frame.place_of(scene.points[i].cast<double>());
    const double bin = place.along_m / kInsideBin_m;
    if (bin >= 0 && bin < static_cast<double>(bins) && place.across_m.norm() < kFaceShare * place.radius_m &&
        std::abs(scene.normals[i].cast<double>().dot(frame.axis())) > kFacingCosine) {
      inside[static_cast<std::size_t>(bin)].push_back(scene.points[i]);
    }
  }
  std::vector<double> places;
  bool in_face = false;  // the next bin of the same face
  for (std::size_t k = 0; k < bins; ++k) {
    std::vector<std::size_t> all(inside[k].size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    const bool covered = covered_share(inside[k], all, frame) >= kLeastInside;
    if (covered && !in_face) {
      places.push_back((static_cast<double>(k) + 0.5) * kInsideBin_m);
    }
    in_face = covered;
  }
  return places;
}

/// Whether the log ends near this place of the track, in this direction (+1 or -1), in a face.
std::optional<double> face_near(const Points& points_m, const TrackFrame& frame, double at_m,
                                double outwards) {
  const AroundEnd around = points_around(points_m, frame, at_m, outwards, kFaceReach_m, kFaceReach_m);
  const auto plane = fit_plane(around.inside, kFaceTolerance_m, frame.axis(), kMostTilt_rad);
  if (!plane || covered_share(around.inside, plane->inliers, frame) < kLeastCovered) {
    return std::nullopt;
  }
  EndPlane end;
  end.normal = plane->normal * (plane->normal.dot(frame.axis()) * outwards < 0 ? -1 : 1);
  end.point_m = centre_on(*plane, frame, at_m);
  const double least_before = kLeastBarkPerFace * static_cast<double>(plane->inliers.size());
  return bark_stops_at(end, around.bark, least_before) && is_open_behind(end, around)
             ? std::optional<double>(frame.place_of(end.point_m).along_m)
             : std::nullopt;
}

}  // namespace

std::vector<std::vector<TrackPoint>> cut_at_faces(const std::vector<TrackPoint>& track, const Scene& scene,
                                                  const Points& points_m) {
  const TrackFrame frame(track);
  std::vector<double> cuts;
  for (const double at_m : places_of_faces(scene, frame)) {
    for (const double outwards : {-1.0, 1.0}) {
      const auto face_m = face_near(points_m, frame, at_m, outwards);
      if (face_m && (outwards > 0 ? frame.chord_m() - *face_m : *face_m) > kBeyond_m) {
        cuts.push_back(*face_m);
      }
    }
  }
  if (cuts.empty()) {
    return {track};
  }
  std::sort(cuts.begin(), cuts.end());
  std::vector<std::vector<TrackPoint>> pieces(cuts.size() + 1);
  for (const TrackPoint& t : track) {
    const double along_m = frame.place_of(t.centre_m).along_m;
    const auto piece = std::upper_bound(cuts.begin(), cuts.end(), along_m) - cuts.begin();
    pieces[static_cast<std::size_t>(piece)].push_back(t);
  }
  std::erase_if(pieces, [](const auto& piece) { return piece.size() < kLeastPiece; });
  return pieces;
}

LogEnds find_ends(const Points& points_m, const TrackFrame& frame) {
  return {find_end(points_m, frame, -1), find_end(points_m, frame, 1)};
}

std::vector<EndFacePoint> end_face(const Cloud& in_scan, const EndPlane& end, double radius_m) {
  std::vector<EndFacePoint> face;
  if (!end.seen) {
    return face;
  }
  const bool coloured = in_scan.colours.size() == in_scan.size();
  const double reach_m = kFaceReach * radius_m;
  for (std::size_t i = 0; i < in_scan.size(); ++i) {
    const Eigen::Vector3d off_m = in_scan.at(i) - end.point_m;
    if (std::abs(end.normal.dot(off_m)) < kOffPlane_m && off_m.squaredNorm() < reach_m * reach_m) {
      face.push_back({in_scan.at(i), coloured ? std::optional(in_scan.colours[i]) : std::nullopt});
    }
  }
  return face;
}

}  // namespace flitchwise::scan
