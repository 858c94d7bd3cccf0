#pragma once
/// Random numbers that are the same on every machine. The standard engine's output is fixed by the C++
/// standard; the standard distributions' is not, so the distributions here are our own.

#include <Eigen/Core>
#include <cstdint>
#include <random>
#include <vector>

namespace flitchwise::simulate {

/// A stream of random numbers. Streams of one seed are independent of each other, so that a draw more in one
/// part of a scene leaves the other parts as they were.
class Random {
 public:
  Random(std::uint64_t seed, std::uint64_t stream);

  double uniform();                         ///< [0, 1)
  double uniform(double low, double high);  ///< [low, high)
  double normal();                          ///< mean 0, standard deviation 1
  std::size_t below(std::size_t count);     ///< 0 to count - 1; requires count > 0
  bool chance(double probability);
  double angle();  ///< [0, 2 pi)

 private:
  std::mt19937_64 engine_;
};

/// A smooth random function of place with a Gaussian covariance sigma^2 exp(-d^2 / (2 length^2)), made of
/// random Fourier waves (Rahimi and Recht, "Random Features for Large-Scale Kernel Machines", 2007).
class RandomField {
 public:
  /// sigma_m: standard deviation; length_m: correlation length, > 0; waves: how many, > 0 (more look more
  /// Gaussian and take longer).
  RandomField(Random& random, double sigma_m, double length_m, int waves = 64);
  double at(const Eigen::Vector3d& point_m) const;

 private:
  struct Wave {
    Eigen::Vector3d number = Eigen::Vector3d::Zero();
    double phase = 0;
  };
  double amplitude_ = 0;
  std::vector<Wave> waves_;
};

}  // namespace flitchwise::simulate
