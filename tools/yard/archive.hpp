#pragma once
/// Values as bytes and back: between the yard's processes, in its store and under its keys. The bytes are the
/// same on every machine. Whoever changes a struct of the store raises kStoreVersion (store.hpp).

#include <Eigen/Core>
#include <cereal/archives/portable_binary.hpp>
#include <cereal/types/array.hpp>
#include <cereal/types/memory.hpp>
#include <cereal/types/optional.hpp>
#include <cereal/types/string.hpp>
#include <cereal/types/variant.hpp>
#include <cereal/types/vector.hpp>
#include <concepts>
#include <filesystem>
#include <sstream>
#include <string>

#include "scan/model/fields.hpp"

namespace cereal {  // where the library looks

/// A struct, by its description.
template <class Archive, flitchwise::Described Struct>
void serialize(Archive& archive, Struct& value) {
  flitchwise::for_each_field(value, [&](std::string_view /*name*/, auto& member) { archive(member); });
}

template <class Archive, std::same_as<std::filesystem::path> Path>  // and nothing that only converts to one
void save(Archive& archive, const Path& path) {
  archive(path.string());
}

template <class Archive, std::same_as<std::filesystem::path> Path>
void load(Archive& archive, Path& path) {
  std::string text;
  archive(text);
  path = text;
}

template <class Archive, typename Scalar, int Rows, int Columns>
void save(Archive& archive, const Eigen::Matrix<Scalar, Rows, Columns>& matrix) {
  archive(static_cast<std::int64_t>(matrix.rows()), static_cast<std::int64_t>(matrix.cols()));
  for (Eigen::Index i = 0; i < matrix.size(); ++i) {
    archive(matrix.data()[i]);
  }
}

template <class Archive, typename Scalar, int Rows, int Columns>
void load(Archive& archive, Eigen::Matrix<Scalar, Rows, Columns>& matrix) {
  std::int64_t rows = 0;
  std::int64_t columns = 0;
  archive(rows, columns);
  matrix.resize(rows, columns);
  for (Eigen::Index i = 0; i < matrix.size(); ++i) {
    archive(matrix.data()[i]);
  }
}

}  // namespace cereal

namespace flitchwise::yard {

template <typename Value>
std::string bytes_of(const Value& value) {
  std::ostringstream stream(std::ios::binary);
  {
    cereal::PortableBinaryOutputArchive archive(stream);
    archive(value);
  }
  return std::move(stream).str();
}

/// Throws std::exception if the bytes are no such value.
template <typename Value>
Value from_bytes(const std::string& bytes) {
  std::istringstream stream(bytes, std::ios::binary);
  cereal::PortableBinaryInputArchive archive(stream);
  Value value;
  archive(value);
  return value;
}

}  // namespace flitchwise::yard
