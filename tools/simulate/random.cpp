#include "tools/simulate/random.hpp"

#include <cmath>
#include <numbers>

namespace flitchwise::simulate {

namespace {

// The finaliser of splitmix64 (Steele, Lea and Flood 2014): neighbouring seeds give unrelated engines.
std::uint64_t mixed(std::uint64_t value) {
  value += 0x9E3779B97F4A7C15ULL;
  value = (value ^ (value >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  value = (value ^ (value >> 27U)) * 0x94D049BB133111EBULL;
  return value ^ (value >> 31U);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) : engine_(mixed(mixed(seed) + stream)) {}

double Random::uniform() {
  return static_cast<double>(engine_() >> 11U) * 0x1p-53;  // the 53 bits that a double holds
}

double Random::uniform(double low, double high) {
  return low + (high - low) * uniform();
}

double Random::normal() {
  // Box and Muller; 1 - u is never 0.
  const double distance = std::sqrt(-2 * std::log(1 - uniform()));
  return distance * std::cos(2 * std::numbers::pi * uniform());
}

std::size_t Random::below(std::size_t count) {
  return static_cast<std::size_t>(uniform() * static_cast<double>(count));
}

bool Random::chance(double probability) {
  return uniform() < probability;
}

double Random::angle() {
  return uniform(0, 2 * std::numbers::pi);
}

RandomField::RandomField(Random& random, double sigma_m, double length_m, int waves)
    : amplitude_(sigma_m * std::sqrt(2.0 / waves)) {
  for (int i = 0; i < waves; ++i) {
    Wave wave;
    for (int axis = 0; axis < 3; ++axis) {
      wave.number[axis] = random.normal() / length_m;
    }
    wave.phase = random.angle();
    waves_.push_back(wave);
  }
}

double RandomField::at(const Eigen::Vector3d& point_m) const {
  if (amplitude_ == 0) {
    return 0;
  }
  double sum = 0;
  for (const Wave& wave : waves_) {
    sum += std::cos(wave.number.dot(point_m) + wave.phase);
  }
  return amplitude_ * sum;
}

}  // namespace flitchwise::simulate
