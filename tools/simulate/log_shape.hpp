#pragma once
/// An invented log, exact and analytic.
///
/// Shape frame: x from the small end (0) to the large end (length), z up as the log lies, y to the left.
/// Sections are given in planes x = const around the generator's own centre line (y(x), z(x)); angles are
/// theta = atan2(z, y). The generator's line is not exactly the middle of the outlines: Truth works that out.
/// Metres and radians.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

namespace flitchwise::simulate {

/// Something that stands out of the surface.
struct Bump {
  enum class Kind {
    knot,  ///< rounded; the wood swells by a part of its height
    stub,  ///< a short stump of a branch with steep sides; wood to its tip
    lump   ///< thick bark; the wood knows nothing of it
  };
  Kind kind = Kind::knot;
  double x_m = 0;
  double theta_rad = 0;
  double height_m = 0;  ///< above the bark around it; >= 0
  double extent_m = 0;  ///< diameter of its foot; > 0
};

struct LogShape {
  double length_m = 4;                 ///< between the middles of the end cuts; [0.3, 20]
  double small_end_diameter_m = 0.3;   ///< over bark; [0.05, 1.5]
  double large_end_diameter_m = 0.34;  ///< over bark, without the flare; not below the small end's
  double sweep_m = 0;                  ///< bow to one side, at mid-length; [0, 0.5]
  double sweep_direction_rad = 0;      ///< side of the bow, as theta
  double s_sweep_m = 0;                ///< largest swing of an S, each way; [0, 0.3]
  double s_sweep_direction_rad = 0;    ///< side of its first half, as theta
  double flare_m = 0;                  ///< extra diameter at the large end's cut; [0, 0.5]
  double flare_reach_m = 0.4;          ///< it falls to 1/e this far from the cut; > 0
  double waist_m = 0;                  ///< missing diameter at the waist; [0, half the small end]
  double waist_place = 0.4;            ///< share of the length; [0, 1]
  double waist_reach_m = 0.5;          ///< its half length (at 1/e); > 0
  double ovality = 1;                  ///< largest over smallest diameter; [1, 1.5]
  double ovality_direction_rad = 0;    ///< of the largest diameter at the small end
  double ovality_turn_rad = 0;         ///< how far that direction has turned at the large end
  double irregularity_m = 0;           ///< most amplitude of the section's 3rd harmonic; the 4th and 5th are
                                       ///< smaller; [0, 0.05]
  Eigen::Vector2d pith_small_end_m = Eigen::Vector2d::Zero();  ///< y and z off the generator's line
  Eigen::Vector2d pith_large_end_m = Eigen::Vector2d::Zero();
  double bark_m = 0;              ///< mean thickness; [0, 0.1]
  double bark_variation = 0;      ///< slow change of the thickness, as a share of it; [0, 0.5]
  double bark_ridge_m = 0;        ///< ridges stand out and grooves go in by at most this; [0, bark / 2]
  std::vector<Bump> bumps;        ///< knots, stubs and bark lumps
  double small_end_tilt_rad = 0;  ///< how far the end face is out of square; [0, 0.4]
  double small_end_tilt_direction_rad = 0;  ///< side on which the log is longest, as theta
  double large_end_tilt_rad = 0;
  double large_end_tilt_direction_rad = 0;
  std::uint64_t detail_seed = 1;  ///< phases of the irregularity, of the bark and of its ridges
};

/// Throws BadUse that names the field, its value and the broken constraint.
void check(const LogShape& shape);

/// An end cut: what lies on the side of `normal` (unit, out of the log) is cut away. Shape frame.
struct EndCut {
  Eigen::Vector3d point_m = Eigen::Vector3d::Zero();
  Eigen::Vector3d normal = Eigen::Vector3d::UnitX();
  /// Positive outside.
  double beyond_m(const Eigen::Vector3d& point) const { return normal.dot(point - point_m); }
};

/// The exact surfaces of a log. Every function holds for any x, also past the end cuts.
class LogSurface {
 public:
  /// Throws BadUse if the shape breaks a constraint.
  explicit LogSurface(const LogShape& shape);

  const LogShape& shape() const { return shape_; }
  Eigen::Vector2d centre_m(double x_m) const;                  ///< of the generator's line
  Eigen::Vector2d pith_m(double x_m) const;                    ///< y and z
  double wood_radius_m(double x_m, double theta) const;        ///< knots included
  double clear_wood_radius_m(double x_m, double theta) const;  ///< without knots and stubs
  double bark_radius_m(double x_m, double theta) const;        ///< the true outer surface
  double ridgeless_radius_m(double x_m, double theta) const;   ///< bark surface without its fine ridges
  double ridge_height_m(double x_m, double theta) const;       ///< what the ridges add to that

  const EndCut& small_end() const { return small_end_; }
  const EndCut& large_end() const { return large_end_; }
  bool between_ends(const Eigen::Vector3d& point) const;
  /// Largest distance of any bark from the x axis of the shape frame; a safe bound, not the exact value.
  double reach_m() const { return reach_m_; }

  Eigen::Vector3d point_m(double x_m, double theta, double radius_m) const;
  /// Angle and distance of a point around the generator's line at its x.
  struct Polar {
    double theta = 0;
    double radius_m = 0;
  };
  Polar polar(const Eigen::Vector3d& point) const;
  /// Outward unit normal of the bark surface without ridges.
  Eigen::Vector3d normal(double x_m, double theta) const;

 private:
  struct Harmonic {
    int order = 3;
    double amplitude_m = 0, phase = 0, turn_rad_m = 0, swell_number = 0, swell_phase = 0;
  };
  struct Ridge {
    int order = 20;
    double weight = 0, phase = 0, number_m = 0;
  };
  double base_diameter_m(double x_m) const;
  double thickness_m(double x_m, double theta) const;
  double bump_height_m(double x_m, double theta, bool wood) const;

  LogShape shape_;
  EndCut small_end_, large_end_;
  std::vector<Harmonic> harmonics_;
  std::vector<Ridge> ridges_;
  std::vector<double> bump_radius_m_;  ///< of the log at each bump, to measure along the surface
  std::array<double, 4> bark_phase_{};
  double wind_phase_ = 0;
  double reach_m_ = 0;
};

}  // namespace flitchwise::simulate
