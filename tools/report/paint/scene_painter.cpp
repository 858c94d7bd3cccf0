#include "tools/report/paint/scene_painter.hpp"

#include <algorithm>
#include <limits>
#include <utility>

namespace flitchwise::report {
namespace {

using Box = Eigen::AlignedBox2d;

constexpr double kLineSpacing = 1.15;
constexpr double kSecondLine = 1;       // size of the lines after the first, at most
constexpr double kTitle = 1.2;          // of a scene's title, in heights of its text
constexpr double kTitleRoom = 1.9;      // in heights of the title
constexpr double kGap = 2;              // paper units between texts
constexpr double kLeastReadable = 0.5;  // of the text's height

double share_left_of_spot(Align align) {
  return align == Align::left ? 0 : align == Align::right ? 1 : 0.5;
}

}  // namespace

const Look* ScenePainter::look(Role role) const {
  const auto at = style_.find(role);
  return at == style_.end() ? nullptr : &at->second;
}

Eigen::Vector2d ScenePainter::on_paper(const Spot& spot, double scale) const {
  const Eigen::Vector2d up =
      scale * Eigen::Vector2d(spot.at_m.x(), scene_.heights * spot.at_m.y()) + text_height_ * spot.aside;
  return {up.x(), -up.y()};
}

std::vector<Eigen::Vector2d> ScenePainter::on_paper(const std::vector<Spot>& spots, double scale) const {
  std::vector<Eigen::Vector2d> corners;
  for (const Spot& spot : spots) {
    corners.push_back(on_paper(spot, scale));
  }
  return corners;
}

double ScenePainter::line_size(double first, std::size_t line) const {
  return line == 0 ? first : std::min(first, kSecondLine * text_height_);
}

Eigen::Vector2d ScenePainter::text_size(const Label& label, double first) const {
  Eigen::Vector2d size = Eigen::Vector2d::Zero();
  for (std::size_t i = 0; i < label.lines.size(); ++i) {
    const bool bold = i == 0 && look(label.role)->bold;
    size.x() = std::max(size.x(), pen_.text_width(label.lines[i], line_size(first, i), bold));
    size.y() += kLineSpacing * line_size(first, i);
  }
  return size;
}

Label ScenePainter::figure(const Dimension& dimension, double scale) const {
  constexpr double kAside = 0.6;
  Label label{dimension.role, {}, Align::middle, dimension.lines};
  label.at = {(dimension.from.at_m + dimension.to.at_m) / 2, (dimension.from.aside + dimension.to.aside) / 2};
  const Eigen::Vector2d way = on_paper(dimension.to, scale) - on_paper(dimension.from, scale);
  if (dimension.side != Align::middle) {
    const bool at_left = dimension.side == Align::left;
    label.align = at_left ? Align::right : Align::left;
    label.at.aside.x() += at_left ? -kAside : kAside;
    label.yields = -1;
  } else if (text_size(label, look(dimension.role)->size * text_height_).x() + 2 * Pen::kHead > way.norm()) {
    label.align = way.x() < 0 ? Align::right : Align::left;
    label.at = dimension.to;
    label.at.aside.x() += way.x() < 0 ? -kAside : kAside;
  }
  return label;
}

/// False if the style leaves the label out, or it would be too small.
bool ScenePainter::place(const Label& label, double scale, std::vector<Placed>& all) const {
  const Look* shown = look(label.role);
  if (shown == nullptr || shown->size == 0) {
    return false;
  }
  double first = shown->size * text_height_;
  if (label.most_height_m > 0) {
    first = std::min(first, label.most_height_m * scene_.heights * scale);
    if (first < kLeastReadable * text_height_) {
      return false;
    }
  }
  const Eigen::Vector2d size = text_size(label, first);
  const Eigen::Vector2d spot = on_paper(label.at, scale);
  const Eigen::Vector2d corner =
      spot - Eigen::Vector2d(share_left_of_spot(label.align), 0.5).cwiseProduct(size);
  Box box(corner, corner + size);
  const auto in_the_way = [&](const Placed& other) {
    return !Box(box.min().array() + kGap / 2, box.max().array() - kGap / 2).intersection(other.box).isEmpty();
  };
  for (auto other = all.begin(); label.yields != 0 && other != all.end();) {
    if (in_the_way(*other)) {
      const double up = box.max().y() - other->box.min().y();
      const double down = other->box.max().y() - box.min().y();
      box.translate(Eigen::Vector2d(0, label.yields > 0 ? -up : down));
      other = all.begin();  // it may have moved over one that was clear before
    } else {
      ++other;
    }
  }
  all.push_back({&label, first, box, spot});
  return true;
}

std::vector<ScenePainter::Placed> ScenePainter::placed(double scale, std::vector<Label>& figures) const {
  for (const Dimension& dimension : scene_.dimensions) {
    if (look(dimension.role) != nullptr) {
      figures.push_back(figure(dimension, scale));
    }
  }
  std::vector<Placed> all;
  for (const std::vector<Label>* labels : {&std::as_const(figures), &scene_.labels}) {
    for (const Label& label : *labels) {
      place(label, scale, all);
    }
  }
  return all;
}

Box ScenePainter::shapes_box(double scale) const {
  Box box;
  for (const Shape& shape : scene_.shapes) {
    if (look(shape.role) != nullptr) {
      for (const Spot& corner : shape.corners) {
        box.extend(on_paper(corner, scale));
      }
    }
  }
  return box;
}

Box ScenePainter::box(double scale) const {
  Box box = shapes_box(scale);
  for (const Dimension& dimension : scene_.dimensions) {
    if (look(dimension.role) != nullptr) {
      box.extend(on_paper(dimension.from, scale));
      box.extend(on_paper(dimension.to, scale));
    }
  }
  std::vector<Label> figures;
  for (const Placed& text : placed(scale, figures)) {
    box.extend(text.box);
  }
  return box;
}

double ScenePainter::fit(const Eigen::Vector2d& most) const {
  constexpr int kHalvings = 24;
  constexpr double kHuge = 1e9;  // at which texts count for nothing
  double least = 0;
  double too_large = kHuge * most.x() / shapes_box(kHuge).sizes().x();
  for (int i = 0; i < kHalvings; ++i) {
    const double scale = (least + too_large) / 2;
    const bool fits = (box(scale).sizes().array() <= most.array()).all();
    (fits ? least : too_large) = scale;
  }
  return least;
}

void ScenePainter::paint_text(const Placed& text, const Eigen::Vector2d& origin) const {
  constexpr double kBaseLine = 0.93;  // of a line's height, from its top
  const Look& shown = *look(text.label->role);
  if (shown.ground) {
    pen_.clear(Box(text.box).translate(origin));
  }
  double top = text.box.min().y();
  for (std::size_t i = 0; i < text.label->lines.size(); ++i) {
    const double size = line_size(text.size, i);
    const bool bold = i == 0 && shown.bold;
    const double room = text.box.sizes().x() - pen_.text_width(text.label->lines[i], size, bold);
    const double left = text.box.min().x() + share_left_of_spot(text.label->align) * room;
    pen_.text(text.label->lines[i], origin + Eigen::Vector2d(left, top + kBaseLine * size), size, bold);
    top += kLineSpacing * size;
  }
}

void ScenePainter::paint(double scale, const Eigen::Vector2d& origin) const {
  const auto moved = [&](std::vector<Eigen::Vector2d> corners) {
    for (Eigen::Vector2d& corner : corners) {
      corner += origin;
    }
    return corners;
  };
  for (const Shape& shape : scene_.shapes) {
    if (const Look* shown = look(shape.role)) {
      pen_.path(moved(on_paper(shape.corners, scale)), shape.closed, *shown);
    }
  }
  for (const Dimension& dimension : scene_.dimensions) {
    if (const Look* shown = look(dimension.role)) {
      pen_.dimension(origin + on_paper(dimension.from, scale), origin + on_paper(dimension.to, scale),
                     *shown);
    }
  }
  std::vector<Label> figures;
  const std::vector<Placed> texts = placed(scale, figures);
  // All leaders before all texts, so that no line runs through a word.
  for (const Placed& text : texts) {
    for (const Eigen::Vector2d& from : on_paper(text.label->leader, scale)) {
      const Eigen::Vector2d to = from.cwiseMax(text.box.min()).cwiseMin(text.box.max());
      pen_.path(moved({from, to}), false, style_.at(Role::leader));
    }
  }
  for (const Placed& text : texts) {
    paint_text(text, origin);
  }
}

TitledScenes::TitledScenes(Pen& pen, const std::vector<Scene>& scenes, const Style& style, double text_height,
                           const Eigen::Vector2d& most)
    : pen_(pen),
      scenes_(scenes),
      title_size_(kTitle * text_height),
      width_(most.x()),
      scale_(std::numeric_limits<double>::infinity()) {
  for (const Scene& scene : scenes) {
    painters_.emplace_back(pen, scene, style, text_height);
    scale_ = std::min(scale_, painters_.back().fit(most - Eigen::Vector2d(0, kTitleRoom * title_size_)));
  }
}

double TitledScenes::height(std::size_t scene) const {
  return kTitleRoom * title_size_ + painters_[scene].box(scale_).sizes().y();
}

void TitledScenes::paint(std::size_t scene, const Eigen::Vector2d& upper_left) const {
  const Box box = painters_[scene].box(scale_);
  pen_.text(scenes_[scene].title, upper_left + Eigen::Vector2d(0, title_size_), title_size_, true);
  painters_[scene].paint(scale_, upper_left + Eigen::Vector2d(width_ / 2 - box.center().x(),
                                                              kTitleRoom * title_size_ - box.min().y()));
}

}  // namespace flitchwise::report
