#include "tools/simulate/colours.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t colour_stream = 601;
constexpr double patch_length_m = 0.25;
constexpr int patch_waves = 12;
constexpr double patch_contrast = 9;  // of 255, 1 sigma
constexpr double grain_contrast = 6;  // from point to point, 1 sigma
constexpr double face_contrast = 14;  // the same on a sawn face: saw marks, resin
constexpr double shade_length_m = 1.2;
constexpr double shade_contrast = 0.18;  // of all light, 1 sigma
constexpr double darkest_shade = 0.45;
constexpr double dirt_length_m = 0.08;
constexpr double dirty_above = 1.2;  // standard deviations: a ninth of a sawn face
constexpr double dirt_share = 0.6;   // of the dirt's own colour there
constexpr double pith_radius_m = 0.006;
constexpr double ring_m = 0.012;  // wider than true year rings, which no scan of this spacing shows
constexpr double late_share = 0.35;

/// By Tint.
constexpr std::array<std::array<double, 3>, 9> bases{{{118, 92, 72},
                                                      {82, 62, 48},
                                                      {96, 58, 38},
                                                      {214, 178, 130},
                                                      {190, 148, 100},
                                                      {104, 72, 46},
                                                      {150, 140, 125},
                                                      {104, 88, 64},
                                                      {92, 128, 56}}};

Eigen::Vector3d base(Tint tint) {
  return Eigen::Vector3d(bases.at(static_cast<std::size_t>(tint)).data());
}

RandomField field(Random& random, double length_m) {
  return {random, 1, length_m, patch_waves};
}

bool sawn(Tint tint) {
  return tint == Tint::wood || tint == Tint::late_wood || tint == Tint::pith || tint == Tint::bark_cut;
}

}  // namespace

Tint wood_tint(double from_pith_m) {
  if (from_pith_m < pith_radius_m) {
    return Tint::pith;
  }
  return std::fmod(from_pith_m / ring_m, 1) > 1 - late_share ? Tint::late_wood : Tint::wood;
}

Painter::Painter(std::uint64_t seed)
    : random_(seed, colour_stream),
      patches_(field(random_, patch_length_m)),
      shade_(field(random_, shade_length_m)),
      dirt_(field(random_, dirt_length_m)) {}

std::array<std::uint8_t, 3> Painter::paint(Tint tint, const Eigen::Vector3d& point_m) {
  const double grain = sawn(tint) ? face_contrast : grain_contrast;
  const double lighter = patch_contrast * patches_.at(point_m) + grain * random_.normal();
  const double shade = std::max(darkest_shade, 1 - shade_contrast * std::abs(shade_.at(point_m)));
  Eigen::Vector3d clean = base(tint);
  if (sawn(tint) && dirt_.at(point_m) > dirty_above) {
    clean = (1 - dirt_share) * clean + dirt_share * base(Tint::ground);
  }
  std::array<std::uint8_t, 3> colour{};
  for (std::size_t i = 0; i < colour.size(); ++i) {
    const double value = shade * (clean[static_cast<Eigen::Index>(i)] + lighter);
    colour[i] = static_cast<std::uint8_t>(std::clamp(value, 0.0, 255.0));
  }
  return colour;
}

}  // namespace flitchwise::simulate
