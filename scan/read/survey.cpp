#include "scan/read/survey.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace flitchwise::scan {
namespace {

/// An even sample of a stream of unknown length: every n-th point, n doubling whenever the sample is full.
class Sample {
 public:
  void add(double x, double y, double z) {
    if (seen_++ % every_ != 0) {
      return;
    }
    if (values_[0].size() == kMost) {
      halve();
    }
    values_[0].push_back(x);
    values_[1].push_back(y);
    values_[2].push_back(z);
  }
  Axis axis(std::size_t i) const;

 private:
  // Places the median within about 1 % of the points' spread; costs nothing against the file itself.
  static constexpr std::size_t kMost = 8192;

  void halve() {
    for (std::vector<double>& values : values_) {
      for (std::size_t i = 0; 2 * i < values.size(); ++i) {
        values[i] = values[2 * i];
      }
      values.resize(values.size() / 2);
    }
    every_ *= 2;
  }

  std::uint64_t seen_ = 0;
  std::uint64_t every_ = 1;
  std::array<std::vector<double>, 3> values_;
};

Axis Sample::axis(std::size_t i) const {
  constexpr std::size_t kTail = 20;  // one twentieth is left out at either end
  std::vector<double> sorted = values_[i];
  if (sorted.empty()) {
    return {};
  }
  std::sort(sorted.begin(), sorted.end());
  const std::size_t cut = sorted.size() / kTail;
  return {sorted[sorted.size() / 2], sorted[sorted.size() - 1 - cut] - sorted[cut]};
}

void survey_colours(const Batch& batch, const Batch::Values<float>& values, Survey& survey) {
  for (std::size_t i = 0; i < batch.size; ++i) {
    const float value = values[i];
    survey.colour_min = std::min(survey.colour_min, value);
    survey.colour_max = std::max(survey.colour_max, value);
    survey.colours_whole = survey.colours_whole && value == std::floor(value);  // false for NaN
  }
}

void survey_points(const Batch& batch, Survey& survey, Sample& sample) {
  for (std::size_t i = 0; i < batch.size; ++i) {
    if (is_usable(batch.x[i], batch.y[i], batch.z[i])) {
      ++survey.finite;
      sample.add(batch.x[i], batch.y[i], batch.z[i]);
    } else {
      ++survey.skipped;
    }
  }
}

}  // namespace

bool is_usable(double x, double y, double z) {
  // Written so that NaN fails.
  return std::abs(x) <= kLargestCoordinate && std::abs(y) <= kLargestCoordinate &&
         std::abs(z) <= kLargestCoordinate;
}

Survey survey(const PointSource& source) {
  Survey survey;
  Sample sample;
  const ColourKind kind = source.facts().colour_kind;
  const bool measure_colours = kind != ColourKind::none && kind != ColourKind::bytes;
  source.visit([&](const Batch& batch) {
    survey_points(batch, survey, sample);
    if (measure_colours) {
      survey_colours(batch, batch.r, survey);
      survey_colours(batch, batch.g, survey);
      survey_colours(batch, batch.b, survey);
    }
  });
  for (std::size_t i = 0; i < survey.axes.size(); ++i) {
    survey.axes[i] = sample.axis(i);
  }
  return survey;
}

}  // namespace flitchwise::scan
