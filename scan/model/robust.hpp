#pragma once
/// Statistics that a few wild values do not move.

#include <vector>

namespace flitchwise {

/// The value at this share of the way from the least to the largest, no mean of two; 0 without any.
double quantile(std::vector<double> values, double share);

/// The upper one of two middle values; 0 without any.
double median(std::vector<double> values);

/// The mean of two middle values; 0 without any.
double even_median(std::vector<double> values);

/// Standard deviation of normal noise whose median distance from 0 is 1.
constexpr double kMadToSigma = 1.4826;

/// Standard deviation of the values around one of them, by the median of their distances from it.
double mad_sigma(std::vector<double> values, double around = 0);

}  // namespace flitchwise
