#pragma once
/// Numbers, lengths and weights as text, in millimetres and kilograms or in inches and pounds.

#include <string>

#include "scan/model/units.hpp"

namespace flitchwise::report {

enum class Units { millimetres, inches };  ///< of what people read; files for programs stay in millimetres

double degrees(double radians);
/// `value` to this many digits after the point, never "-0"; "" if it is not finite.
std::string fixed(double value, int digits);
/// At most three digits after the point, no noughts at the end.
std::string plain(double value);
/// Metres as millimetres: "62".
std::string mm(double length_m, int digits = 0);
/// Sixteenths of an inch in words: "2 7/16", "0", "-1/2"; "" if the length is not finite.
std::string inches(double length_m);
/// A length as people read it, without its unit: whole millimetres, or inches to the nearest 1/16.
std::string bare_length(Units units, double length_m);
/// The same with its unit: "62 mm", "2 7/16 in".
std::string length_text(Units units, double length_m);
/// A small length: "0.4 mm"; "less than 1/16 in".
std::string fine_length(Units units, double length_m);
/// The length that is read, whole millimetres or sixteenths of an inch, next below and above.
double rounded_down(Units units, double length_m);
double rounded_up(Units units, double length_m);
/// A saw depth without its unit: to half a millimetre, as a depth stop is set, or to 1/16 inch.
std::string bare_depth(Units units, double depth_m);
/// "mm" or "in".
std::string unit_name(Units units);
/// A weight without its unit, whole kilograms or pounds: "59", "130"; "<1" below half of one.
std::string bare_weight(Units units, double weight_kg);
/// The same with its unit: "59 kg", "130 lb".
std::string weight_text(Units units, double weight_kg);
/// "kg" or "lb".
std::string weight_unit(Units units);
/// "1 board", "9 boards".
std::string counted(std::size_t count, const std::string& noun);

}  // namespace flitchwise::report
