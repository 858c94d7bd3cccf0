#pragma once
/// Cairo's surfaces, whose bytes stay in memory. Every function here throws InputError if Cairo cannot draw.

#include <cairo.h>

#include <Eigen/Core>
#include <functional>
#include <string>

namespace flitchwise::report {

using Draw = std::function<void(cairo_t*)>;

/// Pages of this size in points (1/72 inch); the same drawing always gives the same bytes. Requires: `draw`
/// shows every page.
std::string pdf_bytes(const Eigen::Vector2d& size, const std::string& title, const Draw& draw);
/// Size in CSS pixels, on white.
std::string svg_bytes(const Eigen::Vector2d& size, const Draw& draw);
/// The same with two pixels for each: sharp when zoomed on a phone.
std::string png_bytes(const Eigen::Vector2d& size, const Draw& draw);
/// Draws where nobody sees it, to measure texts.
void draw_nowhere(const Draw& draw);

}  // namespace flitchwise::report
