#pragma once
/// Factors between the code's own units (metres, radians) and those of people and files.

#include <numbers>

namespace flitchwise {

constexpr double kMmAMetre = 1000;
constexpr double kRadADegree = std::numbers::pi / 180;

}  // namespace flitchwise
