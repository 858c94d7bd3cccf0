#include "scan/read/records.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <cstring>
#include <limits>

namespace flitchwise::scan {
namespace {

static_assert(std::endian::native == std::endian::little || std::endian::native == std::endian::big);

template <typename T, bool kSwap>
T load_as(const char* address) {
  std::array<char, sizeof(T)> raw;
  std::memcpy(raw.data(), address, sizeof(T));
  if constexpr (kSwap) {
    std::reverse(raw.begin(), raw.end());
  }
  return std::bit_cast<T>(raw);
}

bool must_swap(bool big_endian) {
  return big_endian != (std::endian::native == std::endian::big);
}

template <bool kSwap, typename Out>
void decode(const char* address, const Column& column, std::size_t count, Out* out) {
  with_type(column.type, [&](auto zero) {
    for (std::size_t i = 0; i < count; ++i) {
      out[i] = static_cast<Out>(load_as<decltype(zero), kSwap>(address + i * column.stride));
    }
  });
}

template <typename Out>
void decode(const char* data, const Column& column, bool big_endian, std::size_t first, std::size_t count,
            Out* out) {
  const char* address = data + column.offset + first * column.stride;
  must_swap(big_endian) ? decode<true>(address, column, count, out)
                        : decode<false>(address, column, count, out);
}

// A packed colour is 0xAARRGGBB whatever the number type that carries it.
void unpack(const char* data, const Column& column, bool big_endian, std::size_t first, Batch& batch) {
  const char* address = data + column.offset + first * column.stride;
  const bool swap = must_swap(big_endian);
  for (std::size_t i = 0; i < batch.size; ++i, address += column.stride) {
    const auto word = swap ? load_as<std::uint32_t, true>(address) : load_as<std::uint32_t, false>(address);
    batch.set_packed(i, word);
  }
}

}  // namespace

double load(const char* address, Scalar type, bool big_endian) {
  double value = 0;
  decode(address, {0, 0, type}, big_endian, 0, 1, &value);
  return value;
}

RecordLayout layout_of(const FieldRoles& roles, const std::vector<Column>& columns, bool big_endian) {
  RecordLayout layout;
  layout.big_endian = big_endian;
  layout.x = columns[roles.x.value()];
  layout.y = columns[roles.y.value()];
  layout.z = columns[roles.z.value()];
  if (roles.has_separate_colour()) {
    layout.r = columns[roles.r.value()];
    layout.g = columns[roles.g.value()];
    layout.b = columns[roles.b.value()];
    layout.colour_kind = roles.colour_kind(layout.r->type);
  } else if (roles.packed && size_of(columns[*roles.packed].type) == sizeof(std::uint32_t)) {
    layout.packed = columns[*roles.packed];
    layout.colour_kind = ColourKind::bytes;
  }
  return layout;
}

void RecordSource::visit(const std::function<void(const Batch&)>& visitor) const {
  Batch batch;
  PageReleaser pages(file_);
  for (std::size_t first = 0; first < count_; first += batch.size) {
    batch.size = std::min(Batch::kCapacity, count_ - first);
    fill(batch, first);
    visitor(batch);
    pages.passed(data_ + layout_.x.offset + first * layout_.x.stride);
  }
}

void RecordSource::fill(Batch& batch, std::size_t first) const {
  const auto column = [&](const Column& from, auto& to) {
    decode(data_, from, layout_.big_endian, first, batch.size, to.data());
  };
  column(layout_.x, batch.x);
  column(layout_.y, batch.y);
  column(layout_.z, batch.z);
  place(batch, first);
  if (layout_.packed) {
    unpack(data_, *layout_.packed, layout_.big_endian, first, batch);
  } else if (layout_.r && layout_.g && layout_.b) {
    column(*layout_.r, batch.r);
    column(*layout_.g, batch.g);
    column(*layout_.b, batch.b);
  }
}

// From stored numbers to coordinates.
void RecordSource::place(Batch& batch, std::size_t first) const {
  const std::array<Batch::Values<double>*, 3> axes = {&batch.x, &batch.y, &batch.z};
  for (std::size_t axis = 0; axis < axes.size(); ++axis) {
    const double scale = layout_.scale[axis];
    const double offset = layout_.offset[axis];
    if (scale != 1 || offset != 0) {
      for (std::size_t i = 0; i < batch.size; ++i) {
        (*axes[axis])[i] = (*axes[axis])[i] * scale + offset;
      }
    }
  }
  if (layout_.drop) {
    const Column& column = layout_.drop->column;
    const char* address = data_ + column.offset + first * column.stride;
    for (std::size_t i = 0; i < batch.size; ++i, address += column.stride) {
      if ((static_cast<std::uint8_t>(*address) & layout_.drop->bits) != 0) {
        batch.x[i] = std::numeric_limits<double>::quiet_NaN();
      }
    }
  }
}

}  // namespace flitchwise::scan
