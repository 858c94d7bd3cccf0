#include "tests/scan/survey_files.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace flitchwise::scan::test {
namespace {

template <typename T>
std::string little(T value) {
  return bytes_of(value, std::endian::little);
}

void put(std::string& bytes, std::size_t at, const std::string& what) {
  std::copy(what.begin(), what.end(), bytes.begin() + static_cast<std::ptrdiff_t>(at));
}

// LAS 1.4 R15, tables 7 to 17: length, place of the colour, place and value of the mark "withheld".
struct Record {
  std::size_t size;
  std::size_t colour;
  std::size_t flags;
  char withheld;
};
const std::array<Record, 9>& records() {
  static const std::array<Record, 9> kRecords = {{{20, 0, 15, '\x80'},
                                                  {28, 0, 15, '\x80'},
                                                  {26, 20, 15, '\x80'},
                                                  {34, 28, 15, '\x80'},
                                                  {57, 0, 15, '\x80'},
                                                  {63, 28, 15, '\x80'},
                                                  {30, 0, 15, '\x04'},
                                                  {36, 30, 15, '\x04'},
                                                  {38, 30, 15, '\x04'}}};
  return kRecords;
}

std::string las_header(const LasFile& file, std::size_t size, std::size_t data) {
  std::string header(size, '\0');
  put(header, 0, "LASF");
  header[24] = '\1';
  header[25] = static_cast<char>(file.minor);
  put(header, 94, little(static_cast<std::uint16_t>(size)));
  put(header, 96, little(static_cast<std::uint32_t>(data)));
  put(header, 100, little(std::uint32_t{file.records_before > 0 ? 1U : 0U}));
  header[104] = static_cast<char>(file.format);
  put(header, 105, little(static_cast<std::uint16_t>(records().at(file.format).size + file.extra_bytes)));
  if (file.fill_legacy_count) {
    put(header, 107, little(static_cast<std::uint32_t>(file.points)));
  }
  for (int axis = 0; axis < 3; ++axis) {
    const auto place = static_cast<std::size_t>(8 * axis);
    put(header, 131 + place, little(file.scale));
    put(header, 155 + place, little(file.offset[axis]));
  }
  if (file.minor >= 4 && file.fill_long_count) {
    put(header, 247, little(static_cast<std::uint64_t>(file.points)));
  }
  return header;
}

/// Values of a given number of bits, the lowest first.
class BitWriter {
 public:
  void put(std::uint64_t value, unsigned bits) {
    for (unsigned bit = 0; bit < bits; ++bit, ++count_) {
      if (count_ % 8 == 0) {
        bytes_ += '\0';
      }
      const auto set = static_cast<unsigned>((value >> bit) & 1U) << (count_ % 8);
      bytes_.back() = static_cast<char>(static_cast<unsigned char>(bytes_.back()) | set);
    }
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
  std::size_t count_ = 0;
};

std::string stream_of(const E57Column& column, std::size_t records) {
  BitWriter writer;
  const std::uint64_t range =
      static_cast<std::uint64_t>(column.maximum) - static_cast<std::uint64_t>(column.minimum);
  unsigned bits = 0;
  while (bits < 64 && (range >> bits) > 0) {
    ++bits;
  }
  for (std::size_t i = 0; i < records; ++i) {
    const double value = column.value(i);
    if (column.type == E57Column::Type::single) {
      writer.put(std::bit_cast<std::uint32_t>(static_cast<float>(value)), 32);
    } else if (column.type == E57Column::Type::real) {
      writer.put(std::bit_cast<std::uint64_t>(value), 64);
    } else {
      const auto whole = static_cast<std::int64_t>(std::llround((value - column.offset) / column.scale));
      writer.put(static_cast<std::uint64_t>(whole) - static_cast<std::uint64_t>(column.minimum), bits);
    }
  }
  return writer.bytes();
}

std::string node_of(const E57Column& column) {
  const std::string limits =
      "\" minimum=\"" + std::to_string(column.minimum) + "\" maximum=\"" + std::to_string(column.maximum);
  switch (column.type) {
    case E57Column::Type::single:
      return "<" + column.name + " type=\"Float\" precision=\"single\"/>\n";
    case E57Column::Type::real:
      return "<" + column.name + " type=\"Float\"/>\n";
    case E57Column::Type::integer:
      return "<" + column.name + " type=\"Integer" + limits + "\"/>\n";
    case E57Column::Type::scaled:
      break;
  }
  return "<" + column.name + " type=\"ScaledInteger" + limits + "\" scale=\"" + std::to_string(column.scale) +
         "\" offset=\"" + std::to_string(column.offset) + "\"/>\n";
}

std::string padded(std::string packet) {
  packet.resize((packet.size() + 3) / 4 * 4, '\0');
  put(packet, 2, little(static_cast<std::uint16_t>(packet.size() - 1)));
  return packet;
}

std::string packets_of(const E57Part& part) {
  std::vector<std::string> streams;
  for (const E57Column& column : part.columns) {
    streams.push_back(stream_of(column, part.records));
  }
  std::string packets;
  std::vector<std::size_t> at(streams.size(), 0);
  const auto left = [&](std::size_t i) { return streams[i].size() - at[i]; };
  for (bool more = true; more;) {
    more = false;
    std::string packet = std::string("\1\0\0\0", 4) + little(static_cast<std::uint16_t>(streams.size()));
    std::string content;
    for (std::size_t i = 0; i < streams.size(); ++i) {
      const std::size_t part_size = std::min(left(i), 100 + 37 * i);
      packet += little(static_cast<std::uint16_t>(part_size));
      content += streams[i].substr(at[i], part_size);
      at[i] += part_size;
      more = more || left(i) > 0;
    }
    packets += padded(packet + content);
    packets += padded(std::string("\2\0\0\0ignored", 11));
  }
  return packets + padded(std::string(32, '\0'));  // an index packet
}

std::size_t physical(std::size_t logical) {
  return logical / 1020 * 1024 + logical % 1020;
}

std::string scan_node(const E57Part& part, std::size_t section) {
  std::string node = "<vectorChild type=\"Structure\">\n<guid type=\"String\"><![CDATA[{bog}]]></guid>\n" +
                     part.pose + part.colour_limits + "<points type=\"CompressedVector\" fileOffset=\"" +
                     std::to_string(physical(section)) + "\" recordCount=\"" + std::to_string(part.records) +
                     "\">\n<prototype type=\"Structure\">\n";
  for (const E57Column& column : part.columns) {
    node += node_of(column);
  }
  return node +
         "</prototype>\n<codecs type=\"Vector\" "
         "allowHeterogeneousChildren=\"1\"/>\n</points>\n</vectorChild>\n";
}

}  // namespace

std::string las_bytes(const LasFile& file) {
  const Record& record = records().at(file.format);
  const std::size_t header_size = file.minor >= 4 ? 375 : file.minor == 3 ? 235 : 227;
  const std::size_t data = header_size + file.records_before;
  std::string bytes = las_header(file, header_size, data);
  bytes += std::string(file.records_before, '\x5A');
  for (std::size_t i = 0; i < file.points; ++i) {
    const Point sample = sample_point(i);
    const Eigen::Vector3d at = Eigen::Vector3d(sample.x, sample.y, sample.z) + file.corner;
    std::string point(record.size + file.extra_bytes, '\x11');
    for (int axis = 0; axis < 3; ++axis) {
      const auto stored = std::llround((at[axis] - file.offset[axis]) / file.scale);
      put(point, static_cast<std::size_t>(4 * axis), little(static_cast<std::int32_t>(stored)));
    }
    for (std::size_t channel = 0; record.colour > 0 && channel < 3; ++channel) {
      put(point, record.colour + 2 * channel,
          little(static_cast<std::uint16_t>(sample.colour[channel] * file.colour_factor)));
    }
    const bool withheld = file.withheld_every > 0 && i % file.withheld_every == 0;
    point[record.flags] = withheld ? record.withheld : '\0';
    bytes += point;
  }
  return bytes;
}

std::vector<E57Column> e57_position(E57Column::Type type) {
  const auto column = [&](const std::string& name, double Point::*axis) {
    const bool scaled = type == E57Column::Type::scaled;
    const double scale = scaled ? 1.0 / 64 : 1;
    const double offset = scaled ? -1 : 0;  // as if about the middle of the scene
    return E57Column{
        name, type, -100, 2000, scale, offset, [axis](std::size_t i) { return sample_point(i).*axis; }};
  };
  return {column("cartesianX", &Point::x), column("cartesianY", &Point::y), column("cartesianZ", &Point::z)};
}

std::vector<E57Column> e57_colour() {
  const auto column = [](const std::string& name, std::size_t channel) {
    return E57Column{name, E57Column::Type::integer, 0, 255, 1, 0, [channel](std::size_t i) {
                       return static_cast<double>(sample_point(i).colour[channel]);
                     }};
  };
  return {column("colorRed", 0), column("colorGreen", 1), column("colorBlue", 2)};
}

std::string e57_bytes(const std::vector<E57Part>& parts) {
  std::string logical(48, '\0');
  std::string xml =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<e57Root type=\"Structure\" "
      "xmlns=\"http://www.astm.org/COMMIT/E57/2010-e57-v1.0\">\n<formatName type=\"String\"><![CDATA[ASTM "
      "E57 "
      "3D Imaging Data File]]></formatName>\n<guid type=\"String\"><![CDATA[{larch}]]></guid>\n<versionMajor "
      "type=\"Integer\">1</versionMajor>\n<versionMinor type=\"Integer\"/>\n<data3D type=\"Vector\" "
      "allowHeterogeneousChildren=\"1\">\n";
  for (const E57Part& part : parts) {
    const std::size_t section = logical.size();
    const std::string packets = packets_of(part);
    logical += std::string("\1\0\0\0\0\0\0\0", 8) + little(std::uint64_t{32 + packets.size()}) +
               little(std::uint64_t{physical(section + 32)}) + little(std::uint64_t{0}) + packets;
    xml += scan_node(part, section);
  }
  xml += "</data3D>\n<images2D type=\"Vector\" allowHeterogeneousChildren=\"1\"/>\n</e57Root>\n";
  const std::size_t xml_at = logical.size();
  logical += xml;
  logical.resize((logical.size() + 1019) / 1020 * 1020, '\0');
  put(logical, 0,
      "ASTM-E57" + little(std::uint32_t{1}) + little(std::uint32_t{0}) +
          little(std::uint64_t{physical(logical.size())}) + little(std::uint64_t{physical(xml_at)}) +
          little(std::uint64_t{xml.size()}) + little(std::uint64_t{1024}));
  std::string bytes;
  for (std::size_t at = 0; at < logical.size(); at += 1020) {
    bytes += logical.substr(at, 1020) + std::string(4, '\0');
  }
  return with_check_sums(std::move(bytes));
}

std::string with_check_sums(std::string bytes) {
  for (std::size_t page = 0; page + 1024 <= bytes.size(); page += 1024) {
    const std::uint32_t sum = castagnoli(std::string_view(bytes).substr(page, 1020));
    put(bytes, page + 1020, bytes_of(sum, std::endian::big));
  }
  return bytes;
}

std::uint32_t castagnoli(std::string_view bytes) {
  constexpr std::uint32_t kPolynomial = 0x82F63B78;  // of iSCSI (RFC 3720), lowest bit first
  std::uint32_t sum = ~std::uint32_t{0};
  for (const char byte : bytes) {
    sum ^= static_cast<unsigned char>(byte);
    for (int bit = 0; bit < 8; ++bit) {
      sum = (sum >> 1U) ^ ((sum & 1U) != 0 ? kPolynomial : 0);
    }
  }
  return ~sum;
}

}  // namespace flitchwise::scan::test
