#include "scan/fit/smooth_surface.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "scan/fit/strangers.hpp"
#include "scan/fit/surface_prior.hpp"
#include "scan/model/robust.hpp"

namespace flitchwise::scan {
namespace {

using std::numbers::pi;

constexpr double kTukey = 4.685;              // 95 % efficient on normal noise
constexpr double kLeastCellSigma_m = 0.0003;  // guards against noiseless scans
constexpr double kStartSigma = 0.05;          // of the radius: the first view holds taper and ovality
constexpr int kStartRounds = 6;               // from a wide view to the usual one
constexpr double kStartWidening = 4;
constexpr int kFinishRounds = 4;
constexpr int kPriorRounds = 2;
constexpr int kPriorSweeps = 4;
/// How likely a cell of the lower side shows something else, where the lower side begins and at its lowest.
struct LowerSide {
  Strangers strangers;
  double others_at_flank;
  double others_at_bottom;
};
// Over ground, half of what is seen at the bottom may be grass or a bearer, of which isolating the log has
// left only what lies close to it. A log by itself shows its own bulges (a real stem scanned from all sides:
// 30 mm).
constexpr LowerSide kOverGround{{0.03, 0.95, 4, 4, 2}, 0.05, 0.5};
constexpr LowerSide kByItself{{0.1, 0.95, 30, 4, 2}, 0.02, 0.1};
// A rim is hidden or chipped as often as continued by something else, over some 36 degrees.
constexpr int kRimColumns = 180;
constexpr Strangers kRoundTheFace{0.06, 0.5, 30, 0, 18};
constexpr double kOthersAtRim = 0.3;
constexpr double kLeastSpreadPoints = 4;  // fewer points tell nothing about their scatter
constexpr double kMostSpread = 3.5;       // of the usual scatter within a cell: more is grass, or an edge
constexpr double kFirstPriorStep = 2.5;
constexpr double kLeastCorrelation = 0.08;  // smaller values are chance
constexpr int kMostLagX = 8;
constexpr int kMostLagTheta = 12;

/// Normal equations of the weighted cells.
struct Information {
  BlockTridiagonal matrix;
  Eigen::VectorXd right;
};

class Fitter {
 public:
  Fitter(const std::vector<Cell>& cells, const SurfaceBasis& basis, int nx, int ntheta,
         const std::vector<RimRadius>& rims, const Eigen::MatrixX2d& spline_m, Beneath beneath)
      : cells_(cells),
        spline_m_(spline_m),
        rims_(rims),
        lower_side_(beneath == Beneath::ground ? kOverGround : kByItself),
        nx_(nx),
        ntheta_(ntheta),
        fit_{basis, {}, {}, BlockTridiagonal(0, 0), {}, {}, 0, 0, 1},
        rim_own_(rims.size(), 0) {
    std::vector<double> spreads;
    double count = 0;
    for (const Cell& cell : cells_) {
      count += cell.count;
      terms_.push_back(fourier_terms(cell.theta_rad));
      splines_.push_back(basis.splines_at(cell.ring_x_m));
      radii_m_.push_back(cell.radius_m + centreline_shift_m(cell.ring_x_m, terms_.back()));
      if (cell.count >= kLeastSpreadPoints) {
        spreads.push_back(cell.spread_m);
      }
    }
    mean_count_ = std::max(1.0, count / static_cast<double>(cells_.size()));
    fit_.point_sigma_m = std::max(kLeastCellSigma_m, median(std::move(spreads)));
    fit_.coefficients = Eigen::VectorXd::Zero(Eigen::Index{basis.spline_count()} * kTerms);
    for (const Cell& cell : cells_) {
      const bool torn = cell.count >= kLeastSpreadPoints && cell.spread_m > kMostSpread * fit_.point_sigma_m;
      own_.push_back(std::sin(cell.theta_rad) > kUpperSide && !torn ? 1 : 0);
      torn_.push_back(torn ? 1 : 0);
    }
    fit_.weights.assign(cells_.size(), 1);
    fit_.residuals_m.assign(cells_.size(), 0);
  }

  // Robust rounds on the upper side with a wide view first, then the lower side as far as it goes on from the
  // upper one, then the prior from the data, then the final rounds.
  SmoothSurface run() {
    start_at_median_radius();
    for (int round = 0; round < kStartRounds; ++round) {
      const double widening = 1 + (kStartWidening - 1) * (kStartRounds - 1 - round) / (kStartRounds - 1);
      weigh(widening);
      solve();
    }
    for (int round = 0; round < kFinishRounds; ++round) {
      weigh(1);
      measure_correlation();
      if (round < kPriorRounds) {
        improve_prior();
      }
      solve();
      admit_lower_side();
      admit_rims();
    }
    weigh(1);
    solve();
    update_residuals();
    fit_.covariance = posterior(information()).inverse_blocks();
    for (int j = 0; j < fit_.basis.spline_count(); ++j) {
      fit_.coefficients[SurfaceBasis::row(j, 0)] += level_m_;  // the splines sum to one
      fit_.coefficients[SurfaceBasis::row(j, 1)] -= spline_m_(j, 0);
      fit_.coefficients[SurfaceBasis::row(j, 2)] -= spline_m_(j, 1);
    }
    return std::move(fit_);
  }

 private:
  /// To first order what the centreline's place adds to a radius that is counted from the straight line
  /// between the ends. So the prior holds the whole centreline smooth, not its last correction.
  double centreline_shift_m(double x_m, const Terms& terms) const {
    const SurfaceBasis::Local local = fit_.basis.splines_at(x_m);
    double shift_m = 0;
    for (int k = 0; k < kSplineOrder; ++k) {
      shift_m +=
          local.weight[static_cast<std::size_t>(k)] * spline_m_.row(local.first + k).dot(terms.segment<2>(1));
    }
    return shift_m;
  }

  double total_m(const RimRadius& rim, const Terms& terms) const {
    return rim.radius_m + centreline_shift_m(rim.x_m, terms);
  }

  void start_at_median_radius() {
    std::vector<double> radii;
    for (const Cell& cell : cells_) {
      radii.push_back(cell.radius_m);
    }
    // All else is fitted to what the radii differ from their median: the evidence would drown in its square.
    level_m_ = median(std::move(radii));
    fit_.prior = usual_prior(level_m_);
    fit_.cell_sigma_m = kStartSigma * level_m_;
    solve();
  }

  void update_residuals() {
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      double r = 0;
      for (int k = 0; k < kSplineOrder; ++k) {
        const Eigen::Index row = SurfaceBasis::row(splines_[i].first + k, 0);
        r += splines_[i].weight[static_cast<std::size_t>(k)] *
             fit_.coefficients.segment<kTerms>(row).dot(terms_[i]);
      }
      fit_.residuals_m[i] = radii_m_[i] - level_m_ - r;
    }
  }

  /// Tukey's weights around the surface, with the scale read from the middle half of the residuals.
  void weigh(double widening) {
    update_residuals();
    std::vector<double> own_residuals_m;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      if (own_[i] > 0.5) {
        own_residuals_m.push_back(fit_.residuals_m[i]);
      }
    }
    fit_.cell_sigma_m = std::max(kLeastCellSigma_m, mad_sigma(std::move(own_residuals_m)));
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      const double u = fit_.residuals_m[i] / (widening * kTukey * fit_.cell_sigma_m);
      fit_.weights[i] = std::abs(u) < 1 ? own_[i] * (1 - u * u) * (1 - u * u) : 0;
    }
  }

  /// Ground, grass and bearers lie close to the lower side, and always outside of it. A cell there counts
  /// by how likely it is the log's own: where the upper side and its neighbours lead one to expect the
  /// surface.
  void admit_lower_side() {
    update_residuals();
    const BlockTridiagonal covariance = posterior(information()).inverse_blocks();
    std::vector<std::size_t> lower;
    std::vector<Doubtful> doubtful;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      if (std::sin(cells_[i].theta_rad) > kUpperSide || torn_[i] == 1) {
        continue;
      }
      const double variance_m2 =
          fit_.basis.variance(covariance, cells_[i].ring_x_m, terms_[i]) + variance(cells_[i]);
      const double depth = (kUpperSide - std::sin(cells_[i].theta_rad)) / (1 + kUpperSide);
      const double others_share =
          lower_side_.others_at_flank + depth * (lower_side_.others_at_bottom - lower_side_.others_at_flank);
      lower.push_back(i);
      doubtful.push_back(
          {fit_.residuals_m[i], std::sqrt(variance_m2), others_share, cells_[i].ix, cells_[i].itheta});
    }
    const std::vector<double> shares = own_shares(doubtful, ntheta_, lower_side_.strangers);
    for (std::size_t k = 0; k < lower.size(); ++k) {
      own_[lower[k]] = shares[k];
    }
  }

  /// A rim that is hidden, chipped or continued by something else lies where nothing leads one to expect it.
  void admit_rims() {
    if (rims_.empty()) {
      return;
    }
    const BlockTridiagonal covariance = posterior(information()).inverse_blocks();
    std::vector<Doubtful> doubtful;
    for (std::size_t i = 0; i < rims_.size(); ++i) {
      const RimRadius& rim = rims_[i];
      const Terms terms = fourier_terms(rim.theta_rad);
      const double expected_m = level_m_ + fit_.basis.section(fit_.coefficients, rim.x_m).dot(terms);
      const double variance_m2 = fit_.basis.variance(covariance, rim.x_m, terms) + rim.sigma_m * rim.sigma_m;
      const bool first = rim.x_m < (fit_.basis.begin_m() + fit_.basis.end_m()) / 2;
      const auto column = static_cast<int>(std::lround(rim.theta_rad / (2 * pi) * kRimColumns));
      doubtful.push_back({total_m(rim, terms) - expected_m, std::sqrt(variance_m2), kOthersAtRim,
                          first ? 0 : 1, column % kRimColumns});
    }
    rim_own_ = own_shares(doubtful, kRimColumns, kRoundTheFace);
  }

  /// Variance of one cell: what cells have in common (bark, correlated noise) and the mean of its own points.
  double variance(const Cell& cell) const {
    const double own = fit_.point_sigma_m * fit_.point_sigma_m;
    const double common = std::max(0.25 * fit_.cell_sigma_m * fit_.cell_sigma_m,
                                   fit_.cell_sigma_m * fit_.cell_sigma_m - own / mean_count_);
    return common + own / cell.count;
  }

  Information information() const {
    const SurfaceBasis& basis = fit_.basis;
    Information info{BlockTridiagonal(basis.block_count(), SurfaceBasis::kBlock),
                     Eigen::VectorXd::Zero(fit_.coefficients.size())};
    // Cells of one ring around the log share their splines: sum the ring first.
    for (std::size_t i = 0; i < cells_.size();) {
      const SurfaceBasis::Local splines = splines_[i];
      Eigen::Matrix<double, kTerms, kTerms> outer = Eigen::Matrix<double, kTerms, kTerms>::Zero();
      Terms right = Terms::Zero();
      const int ring = cells_[i].ix;
      for (; i < cells_.size() && cells_[i].ix == ring; ++i) {
        if (fit_.weights[i] > 0) {
          const double weight = fit_.weights[i] / (fit_.correlation * variance(cells_[i]));
          outer.selfadjointView<Eigen::Lower>().rankUpdate(terms_[i], weight);
          right += weight * (radii_m_[i] - level_m_) * terms_[i];
        }
      }
      outer = outer.selfadjointView<Eigen::Lower>();
      add_ring(info, splines, outer, right);
    }
    add_rims(info);
    return info;
  }

  void add_rims(Information& info) const {
    for (std::size_t i = 0; i < rims_.size(); ++i) {
      const SurfaceBasis::Local splines = fit_.basis.splines_at(rims_[i].x_m);
      const Terms terms = fourier_terms(rims_[i].theta_rad);
      const double weight = rim_own_[i] / (rims_[i].sigma_m * rims_[i].sigma_m);
      add_ring(info, splines, weight * terms * terms.transpose(),
               weight * (total_m(rims_[i], terms) - level_m_) * terms);
    }
  }

  using Square = Eigen::Matrix<double, kTerms, kTerms>;

  static void add_ring(Information& info, const SurfaceBasis::Local& splines, const Square& outer,
                       const Terms& right) {
    for (int a = 0; a < kSplineOrder; ++a) {
      const double wa = splines.weight[static_cast<std::size_t>(a)];
      info.right.segment<kTerms>(SurfaceBasis::row(splines.first + a, 0)) += wa * right;
      for (int b = 0; b < kSplineOrder; ++b) {
        add_block(info.matrix, splines.first + a, splines.first + b,
                  wa * splines.weight[static_cast<std::size_t>(b)], outer);
      }
    }
  }

  static void add_block(BlockTridiagonal& matrix, int row, int column, double weight,
                        const Eigen::Matrix<double, kTerms, kTerms>& outer) {
    constexpr int g = SurfaceBasis::kGroup;
    const Eigen::Index r = Eigen::Index{row % g} * kTerms;
    const Eigen::Index c = Eigen::Index{column % g} * kTerms;
    if (row / g == column / g) {
      matrix.diagonal[static_cast<std::size_t>(row / g)].block<kTerms, kTerms>(r, c) += weight * outer;
    } else if (row / g == column / g + 1) {
      matrix.below[static_cast<std::size_t>(column / g)].block<kTerms, kTerms>(r, c) += weight * outer;
    }
  }

  BlockCholesky posterior(const Information& info) const {
    BlockTridiagonal sum = prior_precision(fit_.prior, fit_.basis).matrix;
    sum += info.matrix;
    return BlockCholesky(sum);
  }

  void solve() {
    const Information info = information();
    fit_.coefficients = posterior(info).solve(info.right);
  }

  /// log p(data | prior) up to a constant: (log|P| - log|P + G| + b^T (P + G)^-1 b) / 2.
  double evidence(const Information& info, const SurfacePrior& prior) const {
    PriorPrecision precision = prior_precision(prior, fit_.basis);
    precision.matrix += info.matrix;
    const BlockCholesky factor(precision.matrix);
    if (!factor.ok()) {
      return -std::numeric_limits<double>::infinity();
    }
    return 0.5 *
           (precision.log_determinant - factor.log_determinant() + info.right.dot(factor.solve(info.right)));
  }

  /// Coordinate ascent of evidence and plausibility over the logarithms of the prior's numbers.
  void improve_prior() {
    const Information info = information();
    double best = evidence(info, fit_.prior) + plausibility(fit_.prior, level_m_);
    double factor = kFirstPriorStep;
    for (int sweep = 0; sweep < kPriorSweeps; ++sweep) {
      bool improved = false;
      for (double SurfacePrior::*const value : kPriorNumbers) {
        for (const double step : {factor, 1 / factor}) {
          SurfacePrior tried = fit_.prior;
          tried.*value *= step;
          const double found = evidence(info, tried) + plausibility(tried, level_m_);
          if (found > best) {
            best = found;
            fit_.prior = tried;
            improved = true;
            break;
          }
        }
      }
      factor = improved ? factor : std::sqrt(factor);
    }
  }

  /// How many cells err together: the sum of the residuals' autocorrelation over the neighbourhood where it
  /// stands out from chance.
  void measure_correlation() {
    constexpr double kNone = 1e9;
    std::vector<double> grid(static_cast<std::size_t>(nx_) * static_cast<std::size_t>(ntheta_), kNone);
    double square = 0;
    double count = 0;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      if (fit_.weights[i] > 0) {
        grid[place(cells_[i].ix, cells_[i].itheta)] = fit_.residuals_m[i];
        square += fit_.residuals_m[i] * fit_.residuals_m[i];
        count += 1;
      }
    }
    if (count < 100 || square <= 0) {
      return;
    }
    const double mean_square = square / count;
    double sum = 0;
    for (int lag_x = 0; lag_x <= kMostLagX; ++lag_x) {
      for (int lag_theta = -kMostLagTheta; lag_theta <= kMostLagTheta; ++lag_theta) {
        const double value = lagged_product(grid, lag_x, lag_theta, kNone) / mean_square;
        sum += value > kLeastCorrelation ? value * (lag_x > 0 ? 2 : 1) : 0;
      }
    }
    fit_.correlation = std::max(1.0, sum);
  }

  std::size_t place(int ix, int itheta) const {
    return static_cast<std::size_t>(ix) * static_cast<std::size_t>(ntheta_) +
           static_cast<std::size_t>(itheta);
  }

  double lagged_product(const std::vector<double>& grid, int lag_x, int lag_theta, double none) const {
    double sum = 0;
    double pairs = 0;
    for (int ix = 0; ix + lag_x < nx_; ++ix) {
      for (int it = 0; it < ntheta_; ++it) {
        const double a = grid[place(ix, it)];
        const double b = grid[place(ix + lag_x, (it + lag_theta + ntheta_) % ntheta_)];
        if (a != none && b != none) {
          sum += a * b;
          pairs += 1;
        }
      }
    }
    return pairs > 50 ? sum / pairs : 0;
  }

  const std::vector<Cell>& cells_;
  const Eigen::MatrixX2d& spline_m_;
  const std::vector<RimRadius>& rims_;
  LowerSide lower_side_;
  std::vector<double> radii_m_;  // a cell: counted from the straight line between the ends
  int nx_;
  int ntheta_;
  SmoothSurface fit_;
  double level_m_ = 0;
  double mean_count_ = 1;
  std::vector<Terms> terms_;
  std::vector<SurfaceBasis::Local> splines_;
  std::vector<double> own_;      // a cell: probability that it shows the log and nothing else
  std::vector<char> torn_;       // a cell: its points do not lie in one surface
  std::vector<double> rim_own_;  // the same of a rim
};

}  // namespace

SmoothSurface fit_surface(const std::vector<Cell>& cells, const SurfaceBasis& basis, int nx, int ntheta,
                          const Eigen::MatrixX2d& spline_m, const std::vector<RimRadius>& rims,
                          Beneath beneath) {
  return Fitter(cells, basis, nx, ntheta, rims, spline_m, beneath).run();
}

}  // namespace flitchwise::scan
