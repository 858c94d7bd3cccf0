#include "scan/read/e57.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <boost/endian/conversion.hpp>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "scan/read/e57_pages.hpp"
#include "scan/read/e57_scan.hpp"
#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

using boost::endian::load_little_u16;
using boost::endian::load_little_u64;

constexpr unsigned kByteBits = 8;
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// The values of one field, in the order of the records, however the packets cut them.
class FieldStream {
 public:
  explicit FieldStream(const E57Field& field) : field_(field) {}

  void append(const unsigned char* bytes, std::size_t count) {
    const std::size_t spent = at_bit_ / kByteBits;
    if (2 * spent > size_) {  // only then, so that every byte is moved about once
      bytes_.erase(bytes_.begin(), bytes_.begin() + static_cast<std::ptrdiff_t>(spent));
      size_ -= spent;
      at_bit_ -= spent * kByteBits;
    }
    bytes_.resize(size_);
    bytes_.insert(bytes_.end(), bytes, bytes + count);
    size_ += count;
    bytes_.resize(size_ + kPadding);
  }

  /// How many whole values are there.
  std::uint64_t available() const {
    return field_.bits == 0 ? std::numeric_limits<std::uint64_t>::max()
                            : (size_ * kByteBits - at_bit_) / field_.bits;
  }

  /// Requires: available().
  double take() {
    if (field_.kind == E57Field::Kind::integer) {
      const auto whole = static_cast<std::int64_t>(static_cast<std::uint64_t>(field_.minimum) + take_bits());
      return static_cast<double>(whole) * field_.scale + field_.offset;
    }
    constexpr unsigned kSingle = 32;
    return field_.bits == kSingle
               ? static_cast<double>(std::bit_cast<float>(static_cast<std::uint32_t>(take_bits())))
               : std::bit_cast<double>(take_bits());
  }

 private:
  static constexpr std::size_t kPadding = 16;  // a value is taken out of the nine bytes from its first on

  std::uint64_t take_bits() {
    constexpr unsigned kWordBits = 64;
    if (field_.bits == 0) {
      return 0;
    }
    const unsigned char* from = bytes_.data() + at_bit_ / kByteBits;
    const auto shift = static_cast<unsigned>(at_bit_ % kByteBits);
    std::uint64_t value = load_little_u64(from) >> shift;
    if (shift + field_.bits > kWordBits) {
      value |= static_cast<std::uint64_t>(from[sizeof(value)]) << (kWordBits - shift);
    }
    at_bit_ += field_.bits;
    return value & (~std::uint64_t{0} >> (kWordBits - field_.bits));
  }

  E57Field field_;
  std::vector<unsigned char> bytes_;  // size_ bytes and the padding
  std::size_t size_ = 0;
  std::uint64_t at_bit_ = 0;
};

/// Decodes one scan packet by packet. Holds one packet, and of each field what waits for the others.
class ScanDecoder {
 public:
  ScanDecoder(const MappedFile& file, E57Pages& pages, PageReleaser& releaser, const E57Scan& scan);
  void visit(const std::function<void(const Batch&)>& visitor);

 private:
  static constexpr std::size_t kPacketHead = 4;
  static constexpr std::size_t kDataHead = 6;

  bool next_packet();
  void take_packet();
  std::uint64_t available() const;
  void emit(std::size_t count, const std::function<void(const Batch&)>& visitor);
  Eigen::Vector3d take_position();
  float take_colour(std::size_t channel);
  FieldStream& stream(std::size_t field) { return *streams_[field]; }

  const MappedFile& file_;
  E57Pages& pages_;
  PageReleaser& releaser_;
  const E57Scan& scan_;
  std::uint64_t at_ = 0;   // logical, of the next packet
  std::uint64_t end_ = 0;  // logical, of the section
  std::vector<unsigned char> packet_;
  std::vector<std::optional<FieldStream>> streams_;  // of the fields in use
  Batch batch_;
};

ScanDecoder::ScanDecoder(const MappedFile& file, E57Pages& pages, PageReleaser& releaser, const E57Scan& scan)
    : file_(file), pages_(pages), releaser_(releaser), scan_(scan), streams_(scan.fields.size()) {
  const auto use = [&](std::size_t field) { streams_[field].emplace(scan.fields[field]); };
  std::for_each(scan.position.begin(), scan.position.end(), use);
  if (scan.invalid) {
    use(*scan.invalid);
  }
  if (scan.colour) {
    std::for_each(scan.colour->begin(), scan.colour->end(), use);
  }
  // The section's header: its kind, seven bytes of nothing, its length, where its packets begin.
  constexpr std::size_t kHeader = 32;
  constexpr std::size_t kLengthAt = 8;
  constexpr std::size_t kDataAt = 16;
  std::array<char, kHeader> header = {};
  const std::uint64_t section = pages.logical(scan.section);
  pages.read(section, header.size(), header.data());
  const auto* bytes = reinterpret_cast<const unsigned char*>(header.data());
  if (bytes[0] != 1) {
    pages.fail_broken("no points where they should stand");
  }
  const std::uint64_t length = load_little_u64(bytes + kLengthAt);
  at_ = pages.logical(load_little_u64(bytes + kDataAt));
  end_ = section + std::min(length, pages.size() - section);
}

void ScanDecoder::visit(const std::function<void(const Batch&)>& visitor) {
  std::uint64_t done = 0;
  if (available() == std::numeric_limits<std::uint64_t>::max()) {
    pages_.fail_broken("all points of a scan are said to lie in one place");
  }
  while (done < scan_.records) {
    if (!next_packet()) {
      fail_cut_short(file_.path(), done, scan_.records);
    }
    std::uint64_t ready = std::min(available(), scan_.records - done);
    done += ready;
    while (ready > 0) {
      const std::size_t count = std::min<std::uint64_t>(ready, Batch::kCapacity);
      emit(count, visitor);
      ready -= count;
    }
  }
}

/// Takes the next packet in; false at the end of the section.
bool ScanDecoder::next_packet() {
  enum : unsigned char { kIndex = 0, kData = 1, kIgnored = 2 };
  if (at_ + kPacketHead > end_) {
    return false;
  }
  std::array<char, kPacketHead> head = {};
  pages_.read(at_, head.size(), head.data());
  const auto* bytes = reinterpret_cast<const unsigned char*>(head.data());
  const std::size_t length = std::size_t{load_little_u16(bytes + 2)} + 1;
  if (length < kPacketHead || length > end_ - at_) {
    return false;
  }
  if (bytes[0] == kData) {
    packet_.resize(length);
    pages_.read(at_, length, reinterpret_cast<char*>(packet_.data()));
    take_packet();
  } else if (bytes[0] != kIndex && bytes[0] != kIgnored) {
    pages_.fail_broken("a packet of unknown kind " + std::to_string(bytes[0]));
  }
  at_ += length;
  releaser_.passed(pages_.address(at_));
  return true;
}

// After the head: the number of streams, the length of each, and then one after the other.
void ScanDecoder::take_packet() {
  constexpr std::size_t kCountAt = 4;
  const std::size_t count = packet_.size() >= kDataHead ? load_little_u16(&packet_[kCountAt]) : 0;
  std::size_t at = kDataHead + 2 * count;
  if (count != streams_.size() || at > packet_.size()) {
    pages_.fail_broken("a packet does not have the fields of its scan");
  }
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t length = load_little_u16(&packet_[kDataHead + 2 * i]);
    if (length > packet_.size() - at) {
      pages_.fail_broken("a packet is too small for what it holds");
    }
    if (streams_[i]) {
      streams_[i]->append(packet_.data() + at, length);
    }
    at += length;
  }
}

std::uint64_t ScanDecoder::available() const {
  std::uint64_t least = std::numeric_limits<std::uint64_t>::max();
  for (const std::optional<FieldStream>& stream : streams_) {
    least = stream ? std::min(least, stream->available()) : least;
  }
  return least;
}

void ScanDecoder::emit(std::size_t count, const std::function<void(const Batch&)>& visitor) {
  batch_.size = count;
  for (std::size_t i = 0; i < count; ++i) {
    const Eigen::Vector3d point = scan_.rotation * take_position() + scan_.translation;
    const bool good = !scan_.invalid || stream(*scan_.invalid).take() == 0;
    batch_.x[i] = good ? point.x() : kNan;
    batch_.y[i] = point.y();
    batch_.z[i] = point.z();
    batch_.r[i] = take_colour(0);
    batch_.g[i] = take_colour(1);
    batch_.b[i] = take_colour(2);
  }
  visitor(batch_);
}

Eigen::Vector3d ScanDecoder::take_position() {
  const double first = stream(scan_.position[0]).take();
  const double second = stream(scan_.position[1]).take();
  const double third = stream(scan_.position[2]).take();
  if (!scan_.spherical) {
    return {first, second, third};
  }
  // Range, azimuth from the x axis towards y, elevation from the horizontal plane (E2807-11, section 8.4.4).
  return first * Eigen::Vector3d(std::cos(third) * std::cos(second), std::cos(third) * std::sin(second),
                                 std::sin(third));
}

// As a byte; a scan without colour among others with colour has none to give.
float ScanDecoder::take_colour(std::size_t channel) {
  constexpr double kByteMax = 255;
  if (!scan_.colour) {
    return std::numeric_limits<float>::quiet_NaN();
  }
  const E57Range& range = scan_.colour_range[channel];
  const double share = (stream((*scan_.colour)[channel]).take() - range.low) / (range.high - range.low);
  return static_cast<float>(std::clamp(share, 0.0, 1.0) * kByteMax);
}

class E57Source : public PointSource {
 public:
  E57Source(const MappedFile& file, std::vector<E57Scan> scans)
      : PointSource(facts_of(scans)), file_(file), scans_(std::move(scans)) {}

  void visit(const std::function<void(const Batch&)>& visitor) const override {
    E57Pages pages(file_);
    PageReleaser releaser(file_);
    for (const E57Scan& scan : scans_) {
      ScanDecoder(file_, pages, releaser, scan).visit(visitor);
    }
  }

 private:
  static SourceFacts facts_of(const std::vector<E57Scan>& scans) {
    const bool any = std::any_of(scans.begin(), scans.end(), [](const E57Scan& s) { return s.colour; });
    SourceFacts facts;
    facts.format.kind = facts.frame.format = FileFormat::Kind::e57;
    facts.format.parts = scans.size();
    facts.colour_kind = any ? ColourKind::bytes : ColourKind::none;
    facts.frame.metres_per_unit = 1;
    return facts;
  }

  const MappedFile& file_;
  std::vector<E57Scan> scans_;
};

}  // namespace

bool looks_like_e57(const MappedFile& file) {
  return file.bytes().starts_with("ASTM-E57");
}

std::unique_ptr<PointSource> open_e57(const MappedFile& file) {
  E57Pages pages(file);
  return std::make_unique<E57Source>(file, parse_e57_scans(pages, pages.xml()));
}

}  // namespace flitchwise::scan
