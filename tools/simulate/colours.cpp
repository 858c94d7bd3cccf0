#include "tools/simulate/colours.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t kColourStream = 601;
constexpr double kPatchLength_m = 0.25;
constexpr int kPatchWaves = 12;
constexpr double kPatchContrast = 9;  // of 255, 1 sigma
constexpr double kGrainContrast = 6;  // from point to point, 1 sigma
constexpr double kFaceContrast = 14;  // the same on a sawn face: saw marks, resin
constexpr double kShadeLength_m = 1.2;
constexpr double kShadeContrast = 0.18;  // of all light, 1 sigma
constexpr double kDarkestShade = 0.45;
constexpr double kDirtLength_m = 0.08;
constexpr double kDirtyAbove = 1.2;  // standard deviations: a ninth of a sawn face
constexpr double kDirtShare = 0.6;   // of the dirt's own colour there
constexpr double kPithRadius_m = 0.006;
constexpr double kRing_m = 0.012;  // wider than true year rings, which no scan of this spacing shows
constexpr double kLateShare = 0.35;

/// By Tint.
constexpr std::array<std::array<double, 3>, 9> kBases{{{118, 92, 72},
                                                       {82, 62, 48},
                                                       {96, 58, 38},
                                                       {214, 178, 130},
                                                       {190, 148, 100},
                                                       {104, 72, 46},
                                                       {150, 140, 125},
                                                       {104, 88, 64},
                                                       {92, 128, 56}}};

Eigen::Vector3d base(Tint tint) {
  return Eigen::Vector3d(kBases.at(static_cast<std::size_t>(tint)).data());
}

RandomField field(Random& random, double length_m) {
  return {random, 1, length_m, kPatchWaves};
}

bool sawn(Tint tint) {
  return tint == Tint::wood || tint == Tint::late_wood || tint == Tint::pith || tint == Tint::bark_cut;
}

}  // namespace

Tint wood_tint(double from_pith_m) {
  if (from_pith_m < kPithRadius_m) {
    return Tint::pith;
  }
  return std::fmod(from_pith_m / kRing_m, 1) > 1 - kLateShare ? Tint::late_wood : Tint::wood;
}

Painter::Painter(std::uint64_t seed)
    : random_(seed, kColourStream),
      patches_(field(random_, kPatchLength_m)),
      shade_(field(random_, kShadeLength_m)),
      dirt_(field(random_, kDirtLength_m)) {}

std::array<std::uint8_t, 3> Painter::paint(Tint tint, const Eigen::Vector3d& point_m) {
  const double grain = sawn(tint) ? kFaceContrast : kGrainContrast;
  const double lighter = kPatchContrast * patches_.at(point_m) + grain * random_.normal();
  const double shade = std::max(kDarkestShade, 1 - kShadeContrast * std::abs(shade_.at(point_m)));
  Eigen::Vector3d clean = base(tint);
  if (sawn(tint) && dirt_.at(point_m) > kDirtyAbove) {
    clean = (1 - kDirtShare) * clean + kDirtShare * base(Tint::ground);
  }
  std::array<std::uint8_t, 3> colour{};
  for (std::size_t i = 0; i < colour.size(); ++i) {
    const double value = shade * (clean[static_cast<Eigen::Index>(i)] + lighter);
    colour[i] = static_cast<std::uint8_t>(std::clamp(value, 0.0, 255.0));
  }
  return colour;
}

}  // namespace flitchwise::simulate
