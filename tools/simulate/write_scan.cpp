#include "tools/simulate/write_scan.hpp"

#include <array>
#include <bit>
#include <charconv>
#include <fstream>

#include "scan/model/errors.hpp"

namespace flitchwise::simulate {

namespace {

std::string ply_header(std::size_t count, const char* format) {
  std::string header = "ply\nformat ";
  header += format;
  header += " 1.0\ncomment flitchwise simulate\nelement vertex " + std::to_string(count) + "\n";
  for (const char* axis : {"x", "y", "z"}) {
    header += std::string("property float ") + axis + "\n";
  }
  for (const char* colour : {"red", "green", "blue"}) {
    header += std::string("property uchar ") + colour + "\n";
  }
  return header + "end_header\n";
}

void append_little_endian(std::string& bytes, float value) {
  const auto bits = std::bit_cast<std::uint32_t>(value);
  for (unsigned shift = 0; shift < 32; shift += 8) {
    bytes.push_back(static_cast<char>((bits >> shift) & 0xFFU));
  }
}

void append_text(std::string& text, float value) {
  std::array<char, 32> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value);
  text.append(buffer.data(), end.ptr);
  text.push_back(' ');
}

}  // namespace

Eigen::Vector3d in_file(const Eigen::Vector3d& in_scan_m, const FileFrame& frame) {
  const Eigen::Vector3d scaled = frame.file_units_per_m * in_scan_m;
  return frame.y_up ? Eigen::Vector3d(scaled.x(), scaled.z(), -scaled.y()) : scaled;
}

std::string scan_bytes(const ScanPoints& scan, FileFormat format, const FileFrame& frame) {
  require(frame.file_units_per_m > 0 && frame.file_units_per_m <= 1e6,
          "simulate: file_units_per_m is " + std::to_string(frame.file_units_per_m) +
              " but must be above 0 and at most 1e6");
  const bool binary = format == FileFormat::ply_binary;
  std::string bytes;
  if (format != FileFormat::xyz) {
    bytes = ply_header(scan.points_m.size(), binary ? "binary_little_endian" : "ascii");
  }
  constexpr std::size_t kBytesATextPoint = 48;
  bytes.reserve(bytes.size() + scan.points_m.size() * kBytesATextPoint);
  for (std::size_t i = 0; i < scan.points_m.size(); ++i) {
    const Eigen::Vector3f point = in_file(scan.points_m[i], frame).cast<float>();
    for (const float value : point) {
      binary ? append_little_endian(bytes, value) : append_text(bytes, value);
    }
    for (std::size_t c = 0; c < 3; ++c) {
      if (binary) {
        bytes.push_back(static_cast<char>(scan.colours[i][c]));
      } else {
        bytes += std::to_string(scan.colours[i][c]);
        bytes.push_back(c == 2 ? '\n' : ' ');
      }
    }
  }
  return bytes;
}

void write_file(const std::filesystem::path& file, const std::string& bytes) {
  std::ofstream out(file, std::ios::binary);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) {
    throw InputError("cannot write " + file.string() + ": check that its folder exists and has room");
  }
}

}  // namespace flitchwise::simulate
