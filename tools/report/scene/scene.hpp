#pragma once
/// A drawing as plain values: what is where and what it stands for, in metres. It knows neither pens nor
/// paper; the painters (report/paint/ and the page's drawing.js) give every role its look and every label its
/// place.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "scan/model/fields.hpp"

namespace flitchwise::report {

/// What a part of a drawing stands for.
enum class Role {
  bark,           ///< the log over bark
  seen_edge,      ///< of the bark, where the scan saw it
  unseen_edge,    ///< of the bark, where it did not
  wood,           ///< the log under bark
  board,          ///< of a flat flitch
  board_on_edge,  ///< of a cant
  far_board,      ///< one that begins further in than the end face that is drawn
  upper_face,     ///< of a flitch
  lower_face,     ///< of a flitch
  plane,          ///< a later cut
  opening_cut,
  edging,
  pith,
  plumb,
  bracket,
  rail,   ///< the rail from the side; its underside on an end face
  screw,  ///< one that bears
  packer,
  relieve,
  no_bearing,
  high_spot,
  old_level,
  old_top,
  new_top,
  leader,       ///< helps the eye from a thing to its figure
  dimension,    ///< a mark that is measured
  length,       ///< a place along the log
  mark_name,    ///< of a mark, where no figure says it
  support,      ///< its number
  support_note  ///< its place, gaps and status
};
/// As a class of the page's style: "opening-cut".
std::string role_name(Role role);

/// A place of the drawing, and so many heights of its text to the right and up from there. x to the right, y
/// up.
struct Spot {
  Eigen::Vector2d at_m = Eigen::Vector2d::Zero();
  Eigen::Vector2d aside = Eigen::Vector2d::Zero();
};

struct Shape {
  Role role = Role::leader;
  std::vector<Spot> corners;
  bool closed = false;
  std::string board = {};  ///< id of the board that it shows, if any
};
FLITCHWISE_FIELDS(Shape, role, corners, closed, board)

enum class Align { left, middle, right };  ///< of a text to its spot

struct Label {
  Role role = Role::leader;
  Spot at;  ///< half way up the text
  Align align = Align::middle;
  std::vector<std::string> lines;  ///< the first one leads
  /// Where it goes if an earlier label is in its way: 1 up, -1 down, 0 nowhere.
  double yields = 0;
  std::vector<Spot> leader = {};  ///< the spot that a thin line leads from, or none
  /// The text is made smaller to fit into this height, and left out where nobody could read it; 0: no limit.
  double most_height_m = 0;
};
FLITCHWISE_FIELDS(Label, role, at, align, lines, yields, leader, most_height_m)

/// An arrow with two heads. Its figure stands at its left or right, or in its middle: there beyond `to` if
/// the arrow is too short for it.
struct Dimension {
  Role role = Role::dimension;
  Spot from;
  Spot to;
  std::vector<std::string> lines;
  Align side = Align::middle;
};
FLITCHWISE_FIELDS(Dimension, role, from, to, lines, side)

/// Parts are painted in their order: shapes, then dimensions, then labels.
struct Scene {
  std::string title;
  double heights = 1;  ///< drawn this much larger than lengths
  std::vector<Shape> shapes;
  std::vector<Dimension> dimensions;
  std::vector<Label> labels;
};
FLITCHWISE_FIELDS(Scene, title, heights, shapes, dimensions, labels)

/// An area or a line without any spot aside.
Shape shape(Role role, const std::vector<Eigen::Vector2d>& corners_m, bool closed);
/// A line between two spots.
Shape line(Role role, const Spot& from, const Spot& to);

}  // namespace flitchwise::report
