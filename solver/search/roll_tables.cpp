#include "solver/search/roll_tables.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace flitchwise::solver {
namespace {

using std::numbers::pi;

/// Radius at any angle, linear between the samples; never below the polygon, whose sides bend inwards of it.
double radius_at(const Eigen::ArrayXd& radius, double index) {
  const auto n = static_cast<double>(radius.size());
  const double wrapped = index - n * std::floor(index / n);
  const auto k = static_cast<Eigen::Index>(wrapped) % radius.size();
  const double u = wrapped - std::floor(wrapped);
  return (1 - u) * radius[k] + u * radius[(k + 1) % radius.size()];
}

/// Radii of a polygon that covers the section turned by any angle within +-half.
Eigen::ArrayXd swept_radii(const Eigen::ArrayXd& radius, double half_rad) {
  if (half_rad == 0) {
    return radius;
  }
  const Eigen::Index n = radius.size();
  const double reach = half_rad * static_cast<double>(n) / (2 * pi);
  const auto whole = static_cast<Eigen::Index>(std::floor(reach));
  Eigen::ArrayXd swept(n);
  double bend = 0;  // how far the linear radius can rise between two samples above their mean: see SEARCH.md
  for (Eigen::Index k = 0; k < n; ++k) {
    const auto at = static_cast<double>(k);
    double most = std::max(radius_at(radius, at - reach), radius_at(radius, at + reach));
    for (Eigen::Index j = k - whole; j <= k + whole; ++j) {
      most = std::max(most, radius[((j % n) + n) % n]);
    }
    swept[k] = most;
    bend = std::max(bend, (2 * radius[k] - radius[(k + 1) % n] - radius[(k + n - 1) % n]) / 4);
  }
  return (swept + bend) / std::cos(pi / static_cast<double>(n));
}

}  // namespace

RollTables::RollTables(const Job& job, const Span& roll, std::size_t stride, double step_m)
    : job_(&job), roll_(roll), stride_(stride), step_m_(step_m) {
  const auto& stations = job.solid.stations;
  const Eigen::Index n = stations.front().radius_m.size();
  directions_.resize(n, 2);
  for (Eigen::Index k = 0; k < n; ++k) {
    const double angle = 2 * pi * static_cast<double>(k) / static_cast<double>(n) + roll.middle;
    directions_.row(k) << std::cos(angle), std::sin(angle);
  }
  tables_.resize((stations.size() + stride - 1) / stride);
}

const RollTables::Table& RollTables::table(std::size_t i) const {
  if (tables_[i].high_m.empty()) {
    tables_[i] = table_of(job_->solid.stations[i * stride_]);
  }
  return tables_[i];
}

/// Enters the outermost y of one edge into every step that it passes.
template <typename Outer>
void RollTables::draw_edge(const Table& table, const Eigen::Vector2d& under, const Eigen::Vector2d& over,
                           std::vector<float>& column, Outer outer) const {
  const double slope = (over.x() - under.x()) / (over.y() - under.y());
  const bool outer_above =
      outer(0.0F, static_cast<float>(slope)) != 0.0F;  // the outer end of a step is its upper one
  const auto first = static_cast<std::size_t>((under.y() - table.bottom_m) / step_m_);
  const auto last = static_cast<std::size_t>((over.y() - table.bottom_m) / step_m_);
  const double from_m = table.bottom_m + (outer_above ? step_m_ : 0);
  for (std::size_t i = first; i <= last; ++i) {
    const double z = std::clamp(from_m + step_m_ * static_cast<double>(i), under.y(), over.y());
    column[i] = outer(column[i], static_cast<float>(under.x() + slope * (z - under.y())));
  }
}

RollTables::Table RollTables::table_of(const Section& section) const {
  Table table;
  table.x_m = section.x_m - job_->solid.pivot_x_m;
  const Eigen::Vector2d centre = section.centre_m - job_->solid.middle_m;
  const double c = std::cos(roll_.middle);
  const double s = std::sin(roll_.middle);
  const Eigen::Vector2d turned(c * centre.x() - s * centre.y(), s * centre.x() + c * centre.y());
  const double sin_half = std::sin(roll_.half);
  const double fall = 1 - std::cos(roll_.half);
  const double z_move = std::abs(turned.x()) * sin_half + std::abs(turned.y()) * fall;
  const double y_move = std::abs(turned.y()) * sin_half + std::abs(turned.x()) * fall;
  table.z_low_m = turned.y() - z_move;
  table.z_high_m = turned.y() + z_move;
  table.y_low_m = turned.x() - y_move;
  table.y_high_m = turned.x() + y_move;
  if (job_->options.keep_pith_out_m > 0) {
    const Eigen::Vector2d pith = job_->pith_m + section.x_m * job_->pith_rise - job_->solid.middle_m;
    const Eigen::Vector2d at(c * pith.x() - s * pith.y(), s * pith.x() + c * pith.y());
    const double moved = pith.norm() * sin_half + pith.norm() * fall;
    table.pith_y_low_m = at.x() - moved;
    table.pith_y_high_m = at.x() + moved;
    table.pith_z_low_m = at.y() - moved;
    table.pith_z_high_m = at.y() + moved;
  }

  const Eigen::ArrayXd radius = swept_radii(section.radius_m, roll_.half);
  const double reach = radius.maxCoeff();
  const auto entries = static_cast<std::size_t>(std::ceil(2 * reach / step_m_)) + 2;
  table.bottom_m = -step_m_ * static_cast<double>(entries) / 2;
  table.high_m.assign(entries, -kOutside);
  table.low_m.assign(entries, kOutside);
  const Eigen::Index n = radius.size();
  const auto corner = [&](Eigen::Index k) { return Eigen::Vector2d(radius[k % n] * directions_.row(k % n)); };
  Eigen::Vector2d to = corner(0);
  for (Eigen::Index k = 0; k < n; ++k) {
    const Eigen::Vector2d from = to;
    to = corner(k + 1);
    if (to.y() > from.y()) {  // going round with the angle, edges that rise bound the wood at high y
      draw_edge(table, from, to, table.high_m, [](float a, float b) { return a > b ? a : b; });
    } else if (to.y() < from.y()) {
      draw_edge(table, to, from, table.low_m, [](float a, float b) { return a < b ? a : b; });
    }
  }
  return table;
}

}  // namespace flitchwise::solver
