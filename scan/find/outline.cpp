#include "scan/find/outline.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "scan/read/thin.hpp"

namespace flitchwise::scan {
namespace {

constexpr int kOrder = 3;  // ovality and the irregularity that stems show; finer waves are bark
constexpr int kTerms = 2 * kOrder + 1;
constexpr double kStation_m = 0.10;
constexpr double kWindow_m = 0.16;     // each way: a butt flare is straight enough over this
constexpr double kRadialNormal = 0.7;  // cosine
// Weight of the prior, as a share of the points, for harmonics 0 to 3: an unseen underside closes round.
constexpr std::array<double, kOrder + 1> kPriorShare{0.002, 0.004, 0.03, 0.1};
// Tukey's limit, as a share of the radius, round by round; the lower side joins in the third.
constexpr std::array<double, 6> kTolerance{0.35, 0.25, 0.2, 0.15, 0.12, 0.12};
constexpr std::size_t kUpperRounds = 2;
constexpr double kUpperSine = -0.25;  // 15 degrees below the middle
constexpr double kLeastTolerance_m = 0.02;
constexpr double kBand_m = 0.020;        // off the outline: bark, knots and the noise of coarse scans
constexpr double kBandShare = 0.05;      // of the radius: what the outline's order does not follow
constexpr double kInnerBand = 2.5;       // times as far inwards: dents and wounds; nothing foreign lies there
constexpr double kVoxel_m = 0.025;       // points of one thing are no further apart, even on coarse scans
constexpr double kLargestStub_m = 0.20;  // footprint; anything wider that stands out is another thing
constexpr double kTallestStub_m = 0.14;
constexpr double kStubFoot_m = 0.05;         // over the band: its steep sides may have been missed
constexpr double kStubSine = -0.7;           // lower down, what stands out is a bearer, a block or grass
constexpr std::size_t kLeastStubPoints = 8;  // fewer are floating noise
constexpr double kNearForeign_m = 0.008;     // off the outline, where another thing touches the log

/// A point in the log's own directions.
struct Spot {
  double along_m = 0;
  double theta_rad = 0;
  double radius_m = 0;
  double off_m = 0;  ///< from the outline, outwards
  bool radial = true;
};

using Section = Eigen::Matrix<double, kTerms, 1>;

Section terms_at(double theta_rad) {
  Section terms;
  terms[0] = 1;
  for (int n = 1; n <= kOrder; ++n) {
    terms[2 * n - 1] = std::cos(n * theta_rad);
    terms[2 * n] = std::sin(n * theta_rad);
  }
  return terms;
}

std::vector<Spot> spots_of(const Points& near, const Points& normals, const TrackFrame& frame,
                           const Eigen::Vector3d& up) {
  const Eigen::Vector3d left = up.cross(frame.axis()).normalized();
  const Eigen::Vector3d top = frame.axis().cross(left);
  std::vector<Spot> spots;
  spots.reserve(near.size());
  for (std::size_t i = 0; i < near.size(); ++i) {
    const auto place = frame.place_of(near[i].cast<double>());
    Spot spot;
    spot.along_m = place.along_m;
    spot.theta_rad = std::atan2(top.dot(place.across_m), left.dot(place.across_m));
    spot.radius_m = place.across_m.norm();
    const double facing = std::abs(normals[i].cast<double>().dot(place.across_m));
    spot.radial = normals[i].squaredNorm() < 0.5F || facing > kRadialNormal * spot.radius_m;
    spots.push_back(spot);
  }
  return spots;
}

/// Robust outline at one place from the spots [begin, end), which are sorted along the log.
Section outline_at(const std::vector<Spot>& spots, std::size_t begin, std::size_t end, double radius_m) {
  Section section = Section::Zero();
  section[0] = radius_m;
  const Section start = section;
  for (std::size_t round = 0; round < kTolerance.size(); ++round) {
    const double tolerance_m = std::max(kLeastTolerance_m, kTolerance[round] * radius_m);
    Eigen::Matrix<double, kTerms, kTerms> normal = Eigen::Matrix<double, kTerms, kTerms>::Zero();
    Section right = Section::Zero();
    double total = 1;
    for (std::size_t i = begin; i < end; ++i) {
      const Spot& spot = spots[i];
      if (!spot.radial || (round < kUpperRounds && std::sin(spot.theta_rad) < kUpperSine)) {
        continue;
      }
      const Section terms = terms_at(spot.theta_rad);
      const double u = (spot.radius_m - terms.dot(section)) / tolerance_m;
      if (std::abs(u) < 1) {
        const double weight = (1 - u * u) * (1 - u * u);
        normal += weight * terms * terms.transpose();
        right += weight * spot.radius_m * terms;
        total += weight;
      }
    }
    for (int k = 0; k < kTerms; ++k) {
      const double prior = total * kPriorShare[static_cast<std::size_t>((k + 1) / 2)];
      normal(k, k) += prior;
      right[k] += prior * start[k];
    }
    section = normal.ldlt().solve(right);
  }
  return section;
}

/// Sets every spot's distance from the outline. Requires: sorted along the log.
void measure(std::vector<Spot>& spots, const TrackFrame& frame) {
  const double first_m = spots.front().along_m;
  const auto stations = static_cast<std::size_t>((spots.back().along_m - first_m) / kStation_m) + 2;
  std::vector<Section> sections;
  const auto index_of = [&](double along_m) {
    return static_cast<std::size_t>(std::lower_bound(spots.begin(), spots.end(), along_m,
                                                     [](const Spot& s, double x) { return s.along_m < x; }) -
                                    spots.begin());
  };
  for (std::size_t k = 0; k < stations; ++k) {
    const double x = first_m + kStation_m * static_cast<double>(k);
    sections.push_back(
        outline_at(spots, index_of(x - kWindow_m), index_of(x + kWindow_m), frame.radius_at(x)));
  }
  for (Spot& spot : spots) {
    const double place = (spot.along_m - first_m) / kStation_m;
    const std::size_t k = std::min(stations - 2, static_cast<std::size_t>(place));
    const double u = place - static_cast<double>(k);
    spot.off_m = spot.radius_m - terms_at(spot.theta_rad).dot((1 - u) * sections[k] + u * sections[k + 1]);
  }
}

/// What stands out in one piece.
struct Piece {
  std::vector<std::uint32_t> members;
  double least_along_m = std::numeric_limits<double>::max(), most_along_m = -least_along_m;
  double least_off_m = std::numeric_limits<double>::max(), most_off_m = -least_off_m;
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();  // sum of the directions
  double radius_m = 0;
};

/// Points in touching cells of a cubic grid belong together.
class Pieces {
 public:
  explicit Pieces(const Points& points) : cells_(points.size()) {
    std::vector<std::uint32_t> cell_of_point;
    for (const Eigen::Vector3f& p : points) {
      const Eigen::Array3i c = (p.array() / static_cast<float>(kVoxel_m)).floor().cast<int>();
      cell_of_point.push_back(cells_.find_or_add(c.x(), c.y(), c.z()));
      if (cell_of_point.back() == places_.size()) {
        places_.push_back(c);
        parents_.push_back(cell_of_point.back());
      }
    }
    join_neighbours();
    for (std::uint32_t& cell : cell_of_point) {
      cell = root(cell);
    }
    roots_ = std::move(cell_of_point);
  }
  /// A number that the points of one piece share.
  const std::vector<std::uint32_t>& numbers() const { return roots_; }

 private:
  std::uint32_t root(std::uint32_t cell) {
    while (parents_[cell] != cell) {
      cell = parents_[cell] = parents_[parents_[cell]];
    }
    return cell;
  }
  void join_neighbours() {
    const auto known = static_cast<std::uint32_t>(places_.size());
    for (std::uint32_t k = 0; k < known; ++k) {
      for (int d = 0; d < 27; ++d) {
        const std::uint32_t other = cells_.find_or_add(
            places_[k].x() + d % 3 - 1, places_[k].y() + d / 3 % 3 - 1, places_[k].z() + d / 9 - 1);
        if (other < known) {
          const std::uint32_t a = root(k);
          const std::uint32_t b = root(other);
          parents_[std::max(a, b)] = std::min(a, b);
        }
      }
    }
  }
  CellIndex cells_;
  std::vector<Eigen::Array3i> places_;
  std::vector<std::uint32_t> parents_;
  std::vector<std::uint32_t> roots_;
};

double band_m(double radius_m) {
  return kBand_m + kBandShare * radius_m;
}

bool is_stub(const Piece& piece, double radius_m) {
  const double sine = piece.middle.y() / std::max(1e-9, piece.middle.norm());
  return piece.members.size() >= kLeastStubPoints &&
         piece.most_along_m - piece.least_along_m < kLargestStub_m && piece.most_off_m < kTallestStub_m &&
         piece.least_off_m < band_m(radius_m) + kStubFoot_m && sine > kStubSine &&
         // Directions that cancel each other go far round the log.
         std::acos(std::min(1.0, piece.middle.norm() / static_cast<double>(piece.members.size()))) * 2 *
                 radius_m <
             kLargestStub_m;
}

/// Pieces of what stands out, by the smallest of the points in them.
std::vector<Piece> pieces_of(const std::vector<std::uint32_t>& out, const Points& near,
                             const std::vector<Spot>& spots) {
  Points standing_out;
  for (const std::uint32_t i : out) {
    standing_out.push_back(near[i]);
  }
  const Pieces joined(standing_out);
  std::vector<std::int64_t> piece_of_number(out.size(), -1);
  std::vector<Piece> pieces;
  for (std::size_t k = 0; k < out.size(); ++k) {
    std::int64_t& number = piece_of_number[joined.numbers()[k]];
    if (number < 0) {
      number = static_cast<std::int64_t>(pieces.size());
      pieces.emplace_back();
    }
    Piece& piece = pieces[static_cast<std::size_t>(number)];
    const Spot& spot = spots[out[k]];
    piece.members.push_back(out[k]);
    piece.least_along_m = std::min(piece.least_along_m, spot.along_m);
    piece.most_along_m = std::max(piece.most_along_m, spot.along_m);
    piece.least_off_m = std::min(piece.least_off_m, spot.off_m);
    piece.most_off_m = std::max(piece.most_off_m, spot.off_m);
    piece.middle += Eigen::Vector2d(std::cos(spot.theta_rad), std::sin(spot.theta_rad));
    piece.radius_m = spot.radius_m - spot.off_m;
  }
  return pieces;
}

/// Where another thing touches the log, what is not quite on the outline belongs to the other thing.
void drop_contacts(const Points& near, const std::vector<Spot>& spots,
                   const std::vector<std::uint32_t>& foreign, std::vector<char>& own) {
  CellIndex cells(foreign.size());
  const auto cell = [](const Eigen::Vector3f& p) -> Eigen::Array3i {
    return (p.array() / static_cast<float>(kVoxel_m)).floor().cast<int>();
  };
  for (const std::uint32_t i : foreign) {
    const Eigen::Array3i c = cell(near[i]);
    cells.find_or_add(c.x(), c.y(), c.z());
  }
  const std::uint32_t known = cells.size();
  for (std::size_t i = 0; i < near.size(); ++i) {
    if (own[i] == 1 && (spots[i].off_m > kNearForeign_m || !spots[i].radial)) {
      const Eigen::Array3i c = cell(near[i]);
      own[i] = cells.find_or_add(c.x(), c.y(), c.z()) < known ? 0 : 1;
    }
  }
}

}  // namespace

Belonging sort_out(const Points& near, const Points& normals, const TrackFrame& frame,
                   const Eigen::Vector3d& up) {
  Belonging result{std::vector<char>(near.size(), 0), std::vector<char>(near.size(), 0)};
  if (near.empty()) {
    return result;
  }
  std::vector<Spot> unsorted = spots_of(near, normals, frame, up);
  std::vector<std::uint32_t> order(near.size());
  for (std::size_t i = 0; i < order.size(); ++i) {
    order[i] = static_cast<std::uint32_t>(i);
  }
  std::sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
    return unsorted[a].along_m != unsorted[b].along_m ? unsorted[a].along_m < unsorted[b].along_m : a < b;
  });
  std::vector<Spot> sorted;
  for (const std::uint32_t i : order) {
    sorted.push_back(unsorted[i]);
  }
  measure(sorted, frame);
  for (std::size_t k = 0; k < order.size(); ++k) {
    unsorted[order[k]] = sorted[k];
  }
  std::vector<std::uint32_t> out;
  for (std::uint32_t i = 0; i < near.size(); ++i) {
    const Spot& spot = unsorted[i];
    const double band = band_m(spot.radius_m - spot.off_m);
    result.own[i] = spot.off_m < band && spot.off_m > -kInnerBand * band ? 1 : 0;
    result.beside[i] = result.own[i] == 0 && spot.radial ? 1 : 0;
    if (spot.off_m >= band) {
      out.push_back(i);
    }
  }
  std::vector<std::uint32_t> foreign;
  for (const Piece& piece : pieces_of(out, near, unsorted)) {
    const bool stub = is_stub(piece, piece.radius_m);
    for (const std::uint32_t i : piece.members) {
      result.own[i] = stub ? 1 : 0;
      result.beside[i] = stub ? 0 : result.beside[i];
    }
    if (!stub && piece.members.size() >= kLeastStubPoints) {
      foreign.insert(foreign.end(), piece.members.begin(), piece.members.end());
    }
  }
  drop_contacts(near, unsorted, foreign, result.own);
  return result;
}

}  // namespace flitchwise::scan
