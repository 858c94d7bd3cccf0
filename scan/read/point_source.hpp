#pragma once
/// What a format's reader hands to the one place that builds the cloud: points in batches, as often as asked.

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <utility>
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

  /// Sets the colour of point i from 0xRRGGBB.
  void set_packed(std::size_t i, std::uint32_t word) {
    constexpr unsigned kRedShift = 16;
    constexpr unsigned kGreenShift = 8;
    constexpr std::uint32_t kByte = 0xFF;
    r[i] = static_cast<float>((word >> kRedShift) & kByte);
    g[i] = static_cast<float>((word >> kGreenShift) & kByte);
    b[i] = static_cast<float>(word & kByte);
  }
};

/// Collects points and hands them on in full batches.
class Batcher {
 public:
  explicit Batcher(const std::function<void(const Batch&)>& visitor) : visitor_(visitor) {}
  /// Where the next point's numbers go; next() takes them in.
  Batch& open() { return batch_; }
  void add(double x, double y, double z, float r, float g, float b) {
    const std::size_t i = batch_.size;
    batch_.x[i] = x;
    batch_.y[i] = y;
    batch_.z[i] = z;
    batch_.r[i] = r;
    batch_.g[i] = g;
    batch_.b[i] = b;
    next();
  }
  /// True where a batch has just been handed on.
  bool next() {
    const bool is_full = ++batch_.size == Batch::kCapacity;
    if (is_full) {
      finish();
    }
    return is_full;
  }
  void finish() {
    visitor_(batch_);
    batch_.size = 0;
  }

 private:
  const std::function<void(const Batch&)>& visitor_;
  Batch batch_;
};

/// How the colour numbers of a source are to be read.
enum class ColourKind {
  none,
  bytes,     ///< 0 to 255
  integers,  ///< 0 to 255, or 0 to 65535 if any is larger than 255
  numbers,   ///< 0 to 1, 0 to 255 or 0 to 65535, whichever holds them all
  guessed,  ///< three unnamed columns: colour only if all are whole numbers from 0 to 255, or all from 0 to 1
};

/// What a reader knows of its file before the first point.
struct SourceFacts {
  FileFormat format;
  ColourKind colour_kind = ColourKind::none;
  std::vector<ScanFact> warnings = {};
  FileFrame frame = {};  ///< what the file states of its frame
};

class PointSource {
 public:
  explicit PointSource(SourceFacts facts) : facts_(std::move(facts)) {}
  virtual ~PointSource() = default;
  PointSource(const PointSource&) = delete;
  PointSource& operator=(const PointSource&) = delete;

  const SourceFacts& facts() const { return facts_; }
  /// Calls `visitor` with every point of the file, in its order. Throws InputError if the file breaks off or
  /// cannot be understood. May be called repeatedly.
  virtual void visit(const std::function<void(const Batch&)>& visitor) const = 0;

 private:
  SourceFacts facts_;
};

}  // namespace flitchwise::scan
