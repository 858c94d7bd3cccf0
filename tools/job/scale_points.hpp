#pragma once
/// A known distance as people write it.

#include <string>

#include "tools/job/model_log.hpp"

namespace flitchwise {

/// "1.2,0,0.5:3.4,0.1,0.5=2210": two points in the file's coordinates and their true distance in millimetres;
/// spaces are ignored. Throws BadUse that names the option, with an example, if the text is anything else,
/// the points are one, or the distance is not between 50 mm and 30 m.
ScalePoints scale_points_of(const std::string& text, const std::string& option);

}  // namespace flitchwise
