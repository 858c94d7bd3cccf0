#pragma once
/// Bending of a straight beam on two simple supports. Metres, newtons, pascals; deflections are positive
/// down. Formulas: standard beam tables, for example R. L. Mott, Machine Elements in Mechanical Design, 4th
/// ed., Table A14-1.

namespace flitchwise::solver {

/// Standard gravity, m/s2.
inline constexpr double kGravity = 9.80665;

/// Second moment of area of a hollow rectangle about its level axis: (B H^3 - b h^3) / 12, corner radii
/// ignored. Requires: wall less than half of either outer size.
double hollow_section_inertia_m4(double outer_width_m, double outer_height_m, double wall_m);

/// Own weight: 5 w L^4 / (384 EI), at the middle.
double uniform_load_sag_m(double load_n_m, double span_m, double ei_n_m2);

/// One load in the middle: P L^3 / (48 EI).
double central_load_sag_m(double load_n, double span_m, double ei_n_m2);

/// One load P at a from one support and b from the other, largest deflection wherever it is. With a the
/// longer one: P a b (L + b) sqrt(3 a (L + b)) / (27 EI L).
double point_load_sag_m(double load_n, double a_m, double b_m, double ei_n_m2);

/// Own weight and one load in the middle together.
double sag_m(double load_n_m, double load_n, double span_m, double ei_n_m2);

/// The longest span whose sag_m stays at or below `limit_m`, found by bisection to 0.1 mm; at most 20 m.
double longest_span_m(double load_n_m, double load_n, double ei_n_m2, double limit_m);

/// How far a string of this weight hangs below the straight line between its ends, at `at_m` from one of
/// them: w x (L - x) / (2 T), the parabola that a tight catenary is to a millionth of its sag.
double string_sag_m(double weight_n_m, double tension_n, double span_m, double at_m);

}  // namespace flitchwise::solver
