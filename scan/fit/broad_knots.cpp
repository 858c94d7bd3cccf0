#include "scan/fit/broad_knots.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kSample_m = 0.012;                                     // finer than half the narrowest knot
constexpr std::array<double, 4> kExtents_m = {0.06, 0.09, 0.13, 0.18};  // of the feet looked for
constexpr double kMostHeight_m = 0.045;  // of a sample: higher ones float, or are a stub
constexpr std::size_t kLeastSamples = 4;
constexpr double kLeastLeft = 0.4;  // sum of the squared shares without any one sample: a floater is no knot
constexpr std::size_t kLeastRing = 6;     // samples
constexpr double kSigmas = 4;             // of the heights that the same look finds all over the bark
constexpr double kLowerSigmas = 4.5;      // where grass and bearers may touch the log
constexpr double kLeastHeight_m = 0.008;  // lower swellings do not stop a rail or a saw
constexpr std::size_t kPlaces = 600;      // at which the usual heights are measured
constexpr double kStartShare = 0.6;       // of the threshold, in single samples
constexpr double kLeastSigma_m = 1e-4;
constexpr int kLeastRingParts = 7;  // of eight
constexpr double kRingSigmas = 2.5;

struct Sample {
  double x_m;
  double around_m;
  double height_m;
};

/// Samples of the unrolled bark, found by place; round the log the strip closes.
class Samples {
 public:
  Samples(const std::vector<SurfacePoint>& heights, double radius_m) : girth_m_(2 * pi * radius_m) {
    columns_ = std::max(3, static_cast<int>(girth_m_ / kSample_m));
    for (const SurfacePoint& p : heights) {
      first_row_ = std::min(first_row_, row(p.x_m));
      rows_ = std::max(rows_, row(p.x_m) + 1);
    }
    rows_ = std::max(0, rows_ - first_row_);
    std::vector<std::vector<const SurfacePoint*>> cells(static_cast<std::size_t>(rows_) *
                                                        static_cast<std::size_t>(columns_));
    for (const SurfacePoint& p : heights) {
      cells[cell(row(p.x_m), column(p.theta_rad * radius_m))].push_back(&p);
    }
    index_.assign(cells.size(), kNone);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (cells[i].empty()) {
        continue;
      }
      const auto middle = cells[i].begin() + static_cast<std::ptrdiff_t>(cells[i].size() / 2);
      std::nth_element(cells[i].begin(), middle, cells[i].end(),
                       [](const auto* a, const auto* b) { return a->radius_m < b->radius_m; });
      index_[i] = all_.size();
      all_.push_back({(*middle)->x_m, (*middle)->theta_rad * radius_m, (*middle)->radius_m});
    }
  }

  const std::vector<Sample>& all() const { return all_; }

  /// Calls visit(sample, along, around) for all within reach of a place.
  template <typename Visit>
  void near(const Sample& place, double reach_m, const Visit& visit) const {
    const int reach = static_cast<int>(reach_m / kSample_m) + 1;
    const int across = std::min(reach, (columns_ - 1) / 2);  // no further than once round
    for (int i = std::max(first_row_, row(place.x_m) - reach);
         i <= std::min(first_row_ + rows_ - 1, row(place.x_m) + reach); ++i) {
      for (int k = column(place.around_m) - across; k <= column(place.around_m) + across; ++k) {
        const std::size_t found = index_[cell(i, (k + columns_) % columns_)];
        if (found == kNone) {
          continue;
        }
        const Sample& s = all_[found];
        const double around_m = std::remainder(s.around_m - place.around_m, girth_m_);
        if (std::hypot(s.x_m - place.x_m, around_m) < reach_m) {
          visit(s, s.x_m - place.x_m, around_m);
        }
      }
    }
  }

 private:
  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  static int row(double x_m) { return static_cast<int>(std::floor(x_m / kSample_m)); }
  int column(double around_m) const {
    return std::min(columns_ - 1, static_cast<int>(around_m / girth_m_ * columns_));
  }
  std::size_t cell(int row, int column) const {
    return static_cast<std::size_t>(row - first_row_) * static_cast<std::size_t>(columns_) +
           static_cast<std::size_t>(column);
  }

  double girth_m_;
  int columns_ = 3;
  int first_row_ = 0;
  int rows_ = 0;
  std::vector<Sample> all_;
  std::vector<std::size_t> index_;
};

/// What a look for a knot of one extent finds at a place.
struct Look {
  double height_m = 0;
  double sure_m = 0;    ///< the same without the sample that makes it highest
  double evidence = 0;  ///< sum of the squared shares of the knot's height that its samples have
};

/// Height over the bark round it of a knot of this extent that fits the samples about a place best, by least
/// squares. The bark round it has most of a coarse scan's noise in common with it. Empty where too little was
/// seen.
std::optional<Look> look_at(const Samples& samples, const Sample& place, double extent_m) {
  std::vector<double> ring_m;
  std::vector<std::pair<double, double>> parts;  // share of the knot's height, height
  samples.near(place, extent_m / 2 + kRing_m, [&](const Sample& s, double along_m, double around_m) {
    const double away_m = std::hypot(along_m, around_m);
    if (away_m > extent_m / 2) {
      ring_m.push_back(s.height_m);
    } else if (s.height_m < kMostHeight_m) {
      parts.emplace_back(0.5 * (1 + std::cos(2 * pi * away_m / extent_m)), s.height_m);
    }
  });
  if (parts.size() < kLeastSamples || ring_m.size() < kLeastRing) {
    return std::nullopt;
  }
  const double bark_m = median(std::move(ring_m));
  double square = 0;
  double product = 0;
  for (auto& [share, height_m] : parts) {
    height_m -= bark_m;
    square += share * share;
    product += share * height_m;
  }
  double least_m = product / square;
  for (const auto& [share, height_m] : parts) {
    const double left = square - share * share;
    if (left < kLeastLeft) {
      return std::nullopt;
    }
    least_m = std::min(least_m, (product - share * height_m) / left);
  }
  return Look{product / square, least_m, square};
}

/// What the look finds over all the bark: its noise as it is, neighbours in common.
Look usual_look(const Samples& samples, double extent_m) {
  std::vector<double> sizes;
  std::vector<double> evidence;
  const std::size_t step = std::max<std::size_t>(1, samples.all().size() / kPlaces);
  for (std::size_t i = 0; i < samples.all().size(); i += step) {
    if (const auto look = look_at(samples, samples.all()[i], extent_m)) {
      sizes.push_back(look->sure_m);
      evidence.push_back(look->evidence);
    }
  }
  const double sure_m = mad_sigma(std::move(sizes));
  return {sure_m, sure_m, median(std::move(evidence))};
}

/// Whether plain bark lies on all sides of a place.
bool stands_in_bark(const Samples& samples, const Sample& place, double extent_m, double bark_texture_m) {
  BarkRing ring;
  samples.near(place, extent_m / 2 + kRing_m, [&](const Sample& s, double along_m, double around_m) {
    if (std::hypot(along_m, around_m) > extent_m / 2 && std::abs(s.height_m) < kRingSigmas * bark_texture_m) {
      ring.add(along_m, around_m);
    }
  });
  return ring.parts() >= kLeastRingParts;
}

struct Candidate {
  Knot knot;
  double sigmas;
};

}  // namespace

void add_broad_knots(const std::vector<SurfacePoint>& heights, double radius_m, double bark_texture_m,
                     std::vector<Knot>& knots) {
  const Samples samples(heights, radius_m);
  std::vector<Candidate> candidates;
  for (const double extent_m : kExtents_m) {
    const Look usual = usual_look(samples, extent_m);
    for (const Sample& place : samples.all()) {
      if (place.height_m < kStartShare * std::max(kLeastHeight_m, kSigmas * usual.sure_m)) {
        continue;
      }
      const auto look = look_at(samples, place, extent_m);
      if (!look || look->sure_m < kLeastHeight_m) {
        continue;
      }
      // Where there are fewer samples than usual they scatter more.
      const double sigma_m =
          std::max(kLeastSigma_m, usual.sure_m * std::sqrt(std::max(1.0, usual.evidence / look->evidence)));
      const double sigmas = look->sure_m / sigma_m;
      const bool upper = std::sin(place.around_m / radius_m) > kUpperSide;
      if (sigmas > (upper ? kSigmas : kLowerSigmas) &&
          (upper || stands_in_bark(samples, place, extent_m, bark_texture_m))) {
        candidates.push_back(
            {{place.x_m, std::remainder(place.around_m / radius_m, 2 * pi), look->height_m, extent_m},
             sigmas});
      }
    }
  }
  std::stable_sort(candidates.begin(), candidates.end(),
                   [](const Candidate& a, const Candidate& b) { return a.sigmas > b.sigmas; });
  for (const Candidate& c : candidates) {
    if (std::none_of(knots.begin(), knots.end(),
                     [&](const Knot& knot) { return same_place(knot, c.knot, radius_m); })) {
      knots.push_back(c.knot);
    }
  }
}

}  // namespace flitchwise::scan
