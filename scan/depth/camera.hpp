#pragma once
/// The camera of depth images: a pinhole.

#include <filesystem>

namespace flitchwise::scan {

/// Pixel (u, v) is the middle of column u and row v; x to the right, y down, z forward.
struct Camera {
  double fx = 0, fy = 0;  ///< focal lengths in pixels; > 0
  double cx = 0, cy = 0;  ///< principal point in pixels
  int width = 0;          ///< of the pictures that the figures are for; 0: of the depth images
  int height = 0;
  double units_per_metre = 1000;  ///< of the depth values
};

/// Reads a camera file: JSON, or text with names or bare numbers. Throws InputError (one sentence).
Camera read_camera(const std::filesystem::path& file);

/// The camera for depth images of this size: pictures of another size but the same shape are scaled. Throws
/// InputError naming `file` if the shape differs or the principal point lies outside the image.
Camera fitted_to(const Camera& camera, int width, int height, const std::filesystem::path& file);

}  // namespace flitchwise::scan
