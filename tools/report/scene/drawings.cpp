#include "tools/report/scene/drawings.hpp"

#include "tools/report/scene/end_face.hpp"
#include "tools/report/scene/flitch_view.hpp"
#include "tools/report/scene/side_view.hpp"

namespace flitchwise::report {

std::vector<Scene> scenes_of(const Report& report, const Drawing& drawing) {
  constexpr double kHeights = 2;  // of the side view
  switch (drawing.kind) {
    case Drawing::Kind::roll:
      return {roll_marks(report)};
    case Drawing::Kind::ends:
      return {end_face_with_marks(report, false), end_face_with_marks(report, true)};
    case Drawing::Kind::rail:
      if (drawing.index >= report.sheet.rail_positions.size()) {
        return {};
      }
      return {side_view(report, drawing.index, kHeights)};
    case Drawing::Kind::flitch:
      break;
  }
  return {flitch_view(report, report.sheet.flitches.at(drawing.index))};
}

}  // namespace flitchwise::report
