#include "simulate/colours.hpp"

#include <algorithm>
#include <cmath>

namespace flitchwise::simulate {

namespace {

constexpr std::uint64_t colour_stream = 601;
constexpr double patch_length_m = 0.25;
constexpr int patch_waves = 12;
constexpr double patch_contrast = 9;  // of 255, 1 sigma
constexpr double grain_contrast = 6;  // from point to point, 1 sigma
constexpr double pith_radius_m = 0.006;
constexpr double ring_m = 0.012;  // wider than true year rings, which no scan of this spacing shows
constexpr double late_share = 0.35;

RandomField patch_field(Random& random) {
  return {random, 1, patch_length_m, patch_waves};
}

Eigen::Vector3d base(Tint tint) {
  switch (tint) {
    case Tint::bark:
      return {118, 92, 72};
    case Tint::bark_groove:
      return {82, 62, 48};
    case Tint::bark_cut:
      return {96, 58, 38};
    case Tint::wood:
      return {214, 178, 130};
    case Tint::late_wood:
      return {190, 148, 100};
    case Tint::pith:
      return {104, 72, 46};
    case Tint::weathered:
      return {150, 140, 125};
    case Tint::ground:
      return {104, 88, 64};
    case Tint::grass:
      break;
  }
  return {92, 128, 56};
}

}  // namespace

Tint wood_tint(double from_pith_m) {
  if (from_pith_m < pith_radius_m) {
    return Tint::pith;
  }
  return std::fmod(from_pith_m / ring_m, 1) > 1 - late_share ? Tint::late_wood : Tint::wood;
}

Painter::Painter(std::uint64_t seed) : random_(seed, colour_stream), patches_(patch_field(random_)) {}

std::array<std::uint8_t, 3> Painter::paint(Tint tint, const Eigen::Vector3d& point_m) {
  const double lighter = patch_contrast * patches_.at(point_m) + grain_contrast * random_.normal();
  std::array<std::uint8_t, 3> colour{};
  for (std::size_t i = 0; i < colour.size(); ++i) {
    const double value = base(tint)[static_cast<Eigen::Index>(i)] + lighter;
    colour[i] = static_cast<std::uint8_t>(std::clamp(value, 0.0, 255.0));
  }
  return colour;
}

}  // namespace flitchwise::simulate
