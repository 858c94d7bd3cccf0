#include "solver/allocate/mip.hpp"

#include <coin/Cbc_C_Interface.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <memory>
#include <string>

namespace flitchwise::solver {
namespace {

// Costs are whole numbers: a bound a little above one is that number with rounding errors.
constexpr double kRounding = 1e-4;
// CBC gives this as the cost where it has found nothing.
constexpr double kNoSolution = 1e40;

struct Release {
  void operator()(Cbc_Model* model) const { Cbc_deleteModel(model); }
};
using Model = std::unique_ptr<Cbc_Model, Release>;

/// CBC wants the matrix by columns.
struct Columns {
  std::vector<CoinBigIndex> starts;
  std::vector<int> rows;
  std::vector<double> coefficients;
};

Columns by_columns(const Mip& mip) {
  std::vector<CoinBigIndex> next(mip.columns.size() + 1, 0);
  for (const MipRow& row : mip.rows) {
    for (const int column : row.columns) {
      ++next[static_cast<std::size_t>(column) + 1];
    }
  }
  for (std::size_t i = 1; i < next.size(); ++i) {
    next[i] += next[i - 1];
  }
  Columns columns;
  columns.starts = next;
  columns.rows.resize(static_cast<std::size_t>(next.back()));
  columns.coefficients.resize(columns.rows.size());
  for (std::size_t r = 0; r < mip.rows.size(); ++r) {
    for (std::size_t i = 0; i < mip.rows[r].columns.size(); ++i) {
      const auto at = static_cast<std::size_t>(next[static_cast<std::size_t>(mip.rows[r].columns[i])]++);
      columns.rows[at] = static_cast<int>(r);
      columns.coefficients[at] = mip.rows[r].coefficients[i];
    }
  }
  return columns;
}

Model loaded(const Mip& mip) {
  const Columns matrix = by_columns(mip);
  std::vector<double> lower(mip.columns.size(), 0);
  std::vector<double> upper;
  std::vector<double> cost;
  for (const MipColumn& column : mip.columns) {
    upper.push_back(column.upper);
    cost.push_back(column.cost);
  }
  std::vector<double> row_lower;
  std::vector<double> row_upper;
  for (const MipRow& row : mip.rows) {
    row_lower.push_back(row.lower);
    row_upper.push_back(row.upper);
  }
  Model model(Cbc_newModel());
  Cbc_loadProblem(model.get(), static_cast<int>(mip.columns.size()), static_cast<int>(mip.rows.size()),
                  matrix.starts.data(), matrix.rows.data(), matrix.coefficients.data(), lower.data(),
                  upper.data(), cost.data(), row_lower.data(), row_upper.data());
  for (std::size_t i = 0; i < mip.columns.size(); ++i) {
    Cbc_setInteger(model.get(), static_cast<int>(i));
  }
  return model;
}

void set_limits(Cbc_Model* model, const MipLimits& limits) {
  const auto set = [&](const char* name, const std::string& value) {
    Cbc_setParameter(model, name, value.c_str());
  };
  Cbc_setLogLevel(model, 0);
  set("log", "0");
  set("threads", "0");
  // Both slow the first look at a thousand logs tenfold and lead to worse trees on thirty; the rows are too
  // simple to gain by them.
  set("preprocess", "off");
  set("presolve", "off");
  set("ratioGap", std::to_string(limits.gap));
  set("maxNodes", std::to_string(limits.nodes));
  set("timeMode", "elapsed");
  set("seconds", std::to_string(limits.seconds));
}

bool fulfils(const Mip& mip, const std::vector<double>& values) {
  for (const MipRow& row : mip.rows) {
    double sum = 0;
    for (std::size_t i = 0; i < row.columns.size(); ++i) {
      sum += row.coefficients[i] * values[static_cast<std::size_t>(row.columns[i])];
    }
    if (sum < row.lower || sum > row.upper) {
      return false;
    }
  }
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (values[i] < 0 || values[i] > mip.columns[i].upper) {
      return false;
    }
  }
  return true;
}

double cost_of(const Mip& mip, const std::vector<double>& values) {
  double sum = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    sum += mip.columns[i].cost * values[i];
  }
  return sum;
}

/// What CBC found, in whole numbers; empty if it found nothing, or if that breaks a row once it is rounded.
std::vector<double> found_by(Cbc_Model* model, const Mip& mip) {
  const double* solution = Cbc_getColSolution(model);
  if (solution == nullptr || Cbc_isProvenInfeasible(model) != 0 ||
      std::abs(Cbc_getObjValue(model)) > kNoSolution) {
    return {};
  }
  std::vector<double> values;
  for (std::size_t i = 0; i < mip.columns.size(); ++i) {
    values.push_back(std::round(solution[i]));
  }
  return fulfils(mip, values) ? values : std::vector<double>();
}

}  // namespace

MipResult solve(const Mip& mip, const std::vector<double>& start, const MipLimits& limits) {
  const Model model = loaded(mip);
  set_limits(model.get(), limits);
  if (!start.empty()) {
    std::vector<int> indices(start.size());
    for (std::size_t i = 0; i < start.size(); ++i) {
      indices[i] = static_cast<int>(i);
    }
    Cbc_setMIPStartI(model.get(), static_cast<int>(start.size()), indices.data(), start.data());
  }
  Cbc_solve(model.get());

  MipResult result;
  result.out_of_time = Cbc_isSecondsLimitReached(model.get()) != 0;
  result.values = found_by(model.get(), mip);
  if (!start.empty() && (result.values.empty() || cost_of(mip, start) < cost_of(mip, result.values))) {
    result.values = start;
  }
  const bool ended = Cbc_status(model.get()) == 0;
  if (result.values.empty()) {
    result.status = ended && Cbc_isProvenInfeasible(model.get()) != 0 ? MipResult::Status::infeasible
                                                                      : MipResult::Status::unknown;
    return result;
  }
  result.status = ended ? MipResult::Status::solved : MipResult::Status::stopped;
  result.cost = cost_of(mip, result.values);
  result.bound = std::ceil(Cbc_getBestPossibleObjValue(model.get()) - kRounding);
  if (ended) {  // CBC does not always move its bound up to where it stopped
    result.bound = std::max(result.bound, result.cost - limits.gap * std::abs(result.cost));
  }
  result.bound = std::min(result.bound, result.cost);
  return result;
}

}  // namespace flitchwise::solver
