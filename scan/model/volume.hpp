#pragma once
/// How much wood a log holds: by integration of its sections, and by the formulas of the trade, which know
/// two or three diameters only.

#include "scan/model/log_model.hpp"

namespace flitchwise {

/// Whether the bark counts.
enum class Surface { bark, wood };

/// Area of a section, (1/2) times the integral of r^2 over the angle, by the trapezoid rule: exact for every
/// outline with fewer waves round it than half its samples, and not only for the polygon through them.
double section_area_m2(const Station& station, Surface surface);

/// Volume of a cone frustum; between sections a few cm apart every smooth shape is one.
double frustum_m3(double length_m, double area_a_m2, double area_b_m2);

/// Smalian: L (A_small + A_large) / 2. Exact for a cylinder and a paraboloid; too much for all else.
double smalian_m3(double length_m, double small_end_area_m2, double large_end_area_m2);
/// Huber: L A_middle. Exact for a cylinder and a paraboloid; too little for a cone.
double huber_m3(double length_m, double middle_area_m2);
/// Newton: L (A_small + 4 A_middle + A_large) / 6. Exact for cylinder, paraboloid, cone and neiloid.
double newton_m3(double length_m, double small_end_area_m2, double middle_area_m2, double large_end_area_m2);

/// The same log four ways. All of them between the two end planes, measured along the chord: a slanted end
/// counts at the place where the centreline meets it, which is where its missing and its extra wedge cancel.
struct LogVolume {
  double length_m = 0;
  double integrated_m3 = 0;  ///< the sections, with a cone frustum between neighbours; the one to believe
  double smalian_m3 = 0;
  double huber_m3 = 0;
  double newton_m3 = 0;
};

/// Requires: log.find_error() is empty (else BadUse).
LogVolume log_volume(const LogModel& log, Surface surface);

}  // namespace flitchwise
