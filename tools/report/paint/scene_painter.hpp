#pragma once
/// Lays a scene out on paper and paints it.

#include <Eigen/Geometry>
#include <vector>

#include "tools/report/paint/pen.hpp"
#include "tools/report/paint/style.hpp"
#include "tools/report/scene/scene.hpp"

namespace flitchwise::report {

/// Scales are paper units a metre of length; the scene's origin lies at the paper's, y down.
class ScenePainter {
 public:
  /// `text_height` in paper units. Pen, scene and style outlive the painter.
  ScenePainter(Pen& pen, const Scene& scene, const Style& style, double text_height)
      : pen_(pen), scene_(scene), style_(style), text_height_(text_height) {}

  /// Around all that is drawn, texts included.
  Eigen::AlignedBox2d box(double scale) const;
  /// Around the lines and areas alone.
  Eigen::AlignedBox2d shapes_box(double scale) const;
  /// The largest scale at which the box is no larger than this.
  double fit(const Eigen::Vector2d& most) const;
  void paint(double scale, const Eigen::Vector2d& origin) const;

 private:
  /// A text in its place.
  struct Placed {
    const Label* label = nullptr;
    double size = 0;  ///< of the first line
    Eigen::AlignedBox2d box;
    Eigen::Vector2d spot;  ///< where it would stand if nothing were in its way
  };

  const Look* look(Role role) const;
  Eigen::Vector2d on_paper(const Spot& spot, double scale) const;
  std::vector<Eigen::Vector2d> on_paper(const std::vector<Spot>& spots, double scale) const;
  double line_size(double first, std::size_t line) const;
  Eigen::Vector2d text_size(const Label& label, double first) const;
  /// The label of a dimension's figure.
  Label figure(const Dimension& dimension, double scale) const;
  /// Labels of the scene and of its dimensions that the style shows; `figures` holds those of dimensions.
  std::vector<Placed> placed(double scale, std::vector<Label>& figures) const;
  bool place(const Label& label, double scale, std::vector<Placed>& all) const;
  void paint_text(const Placed& text, const Eigen::Vector2d& origin) const;

  Pen& pen_;
  const Scene& scene_;
  const Style& style_;
  double text_height_;
};

/// Scenes with their titles above them, all to one scale, so that they compare.
class TitledScenes {
 public:
  /// `most`: width and height that each may have. Pen and scenes outlive it.
  TitledScenes(Pen& pen, const std::vector<Scene>& scenes, const Style& style, double text_height,
               const Eigen::Vector2d& most);
  double height(std::size_t scene) const;
  /// In the middle of the width that it may have, down from this corner.
  void paint(std::size_t scene, const Eigen::Vector2d& upper_left) const;

 private:
  Pen& pen_;
  const std::vector<Scene>& scenes_;
  double title_size_;
  double width_;
  double scale_;
  std::vector<ScenePainter> painters_;
};

}  // namespace flitchwise::report
