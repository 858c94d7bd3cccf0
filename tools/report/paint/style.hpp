#pragma once
/// How the parts of a scene look on paper.

#include <map>
#include <optional>
#include <vector>

#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

struct Colour {
  double red = 0, green = 0, blue = 0;  ///< 0 to 1
};

/// Of a shape or a dimension: pen and area. Of a label or a dimension: letters.
struct Look {
  double weight = 0;  ///< of the line, paper units; 0: none
  std::vector<double> dashes = {};
  Colour ink = {};
  std::optional<Colour> fill = {};
  double size = 0;     ///< of a text's first line, in heights of the drawing's text; 0: the text is left out
  bool bold = false;   ///< the first line
  bool ground = true;  ///< a text stands on white
};

/// What has no look is left out.
using Style = std::map<Role, Look>;

/// sheet.pdf: black, white and greys, to be read in the sun and after any printer.
const Style& sheet_style();
/// The same for end faces, without their boards: nobody marks those there.
const Style& sheet_end_style();
/// plan.svg and plan.png: colours that people tell apart who see no difference between red and green.
const Style& picture_style();
/// templates.pdf: what is drawn on the end face, thin, with the marks' names.
const Style& template_style();

}  // namespace flitchwise::report
