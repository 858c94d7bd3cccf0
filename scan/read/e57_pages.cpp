#include "scan/read/e57_pages.hpp"

#include <algorithm>
#include <boost/crc.hpp>
#include <boost/endian/conversion.hpp>
#include <cstring>

#include "scan/read/failure.hpp"

namespace flitchwise::scan {
namespace {

using boost::endian::load_big_u32;
using boost::endian::load_little_u32;
using boost::endian::load_little_u64;

constexpr std::uint64_t kPage = 1024;
constexpr std::uint64_t kCheckSum = 4;
constexpr std::uint64_t kData = kPage - kCheckSum;

// Places in the file header (ASTM E2807-11, section 7).
constexpr std::size_t kMajorAt = 8;
constexpr std::size_t kPhysicalLengthAt = 16;
constexpr std::size_t kXmlOffsetAt = 24;
constexpr std::size_t kXmlLengthAt = 32;
constexpr std::size_t kPageSizeAt = 40;

// CRC-32C (Castagnoli), as in RFC 3720; the page holds it with the most significant byte first.
using CheckSum = boost::crc_optimal<32, 0x1EDC6F41, 0xFFFFFFFF, 0xFFFFFFFF, true, true>;

const unsigned char* bytes_at(const char* address) {
  return reinterpret_cast<const unsigned char*>(address);
}

}  // namespace

E57Pages::E57Pages(const MappedFile& file) : file_(file) {
  const std::uint64_t held = file.bytes().size();
  if (held < kPage) {
    fail(file.path(), "ends inside its E57 header: the copy was cut short; copy it again");
  }
  const unsigned char* header = bytes_at(file.bytes().data());
  const std::uint32_t major = load_little_u32(header + kMajorAt);
  const std::uint64_t page = load_little_u64(header + kPageSizeAt);
  if (major != 1 || page != kPage) {
    fail_broken("version " + std::to_string(major) + " with pages of " + std::to_string(page) +
                " bytes is unknown");
  }
  const std::uint64_t promised = load_little_u64(header + kPhysicalLengthAt);
  if (promised > held) {
    fail(file.path(), "holds " + grouped(held) + " of the " + grouped(promised) +
                          " bytes its header promises: the copy was cut short; copy it again");
  }
  size_ = held / kPage * kData;
  xml_from_ = logical(load_little_u64(header + kXmlOffsetAt));
  xml_length_ = load_little_u64(header + kXmlLengthAt);
}

std::uint64_t E57Pages::logical(std::uint64_t physical) const {
  const std::uint64_t within = physical % kPage;
  const std::uint64_t logical = physical / kPage * kData + within;
  if (within >= kData || logical >= size_) {
    fail_broken("something is said to stand at byte " + std::to_string(physical) + ", where nothing can be");
  }
  return logical;
}

const char* E57Pages::address(std::uint64_t logical) const {
  return file_.bytes().data() + logical / kData * kPage + logical % kData;
}

void E57Pages::read(std::uint64_t from, std::size_t length, char* to) {
  if (from > size_ || length > size_ - from) {
    fail_broken("a part of it reaches beyond its end");
  }
  while (length > 0) {
    verify(from / kData);
    const std::size_t part = std::min<std::uint64_t>(length, kData - from % kData);
    std::memcpy(to, address(from), part);
    from += part;
    to += part;
    length -= part;
  }
}

std::string E57Pages::xml() {
  if (xml_length_ > size_) {  // before so much room is asked for
    fail_broken("its description is said to be larger than the file");
  }
  std::string text(xml_length_, '\0');
  read(xml_from_, text.size(), text.data());
  return text;
}

void E57Pages::verify(std::uint64_t page) {
  if (page == verified_) {
    return;
  }
  const char* start = file_.bytes().data() + page * kPage;
  CheckSum sum;
  sum.process_bytes(start, kData);
  if (sum.checksum() != load_big_u32(bytes_at(start + kData))) {
    fail(file_.path(), "is damaged: the check sum of its page " + grouped(page + 1) +
                           " does not match; copy it again, or export the scan again");
  }
  verified_ = page;
}

void E57Pages::fail_broken(const std::string& what) const {
  fail(file_.path(), "is a broken E57 file (" + what + "): export the scan again");
}

}  // namespace flitchwise::scan
