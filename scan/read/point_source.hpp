#pragma once
/// What a format's reader hands to the one place that builds the cloud: points in batches, as often as asked.

#include <array>
#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include "scan/read/read_result.hpp"

namespace flitchwise::scan {

/// Points column by column; small enough to stay in the processor's first caches.
struct Batch {
  static constexpr std::size_t kCapacity = 1024;
  template <typename T>
  using Values = std::array<T, kCapacity>;

  std::size_t size = 0;
  Values<double> x, y, z;  ///< as in the file, not necessarily finite
  Values<float> r, g, b;   ///< as in the file; only if the source has colour; NaN where unreadable
};

/// How the colour numbers of a source are to be read.
enum class ColourKind {
  none,
  bytes,     ///< 0 to 255
  integers,  ///< 0 to 255, or 0 to 65535 if any is larger than 255
  numbers,   ///< 0 to 1, 0 to 255 or 0 to 65535, whichever holds them all
  guessed,  ///< three unnamed columns: colour only if all are whole numbers from 0 to 255, or all from 0 to 1
};

class PointSource {
 public:
  PointSource() = default;
  virtual ~PointSource() = default;
  PointSource(const PointSource&) = delete;
  PointSource& operator=(const PointSource&) = delete;

  virtual FileFormat format() const = 0;
  virtual ColourKind colour_kind() const = 0;
  virtual FileFrame frame() const { return {}; }  ///< what the file states of its frame
  virtual std::vector<ScanFact> warnings() const { return {}; }
  /// Calls `visitor` with every point of the file, in its order. Throws InputError if the file breaks off or
  /// cannot be understood. May be called repeatedly.
  virtual void visit(const std::function<void(const Batch&)>& visitor) const = 0;
};

}  // namespace flitchwise::scan
