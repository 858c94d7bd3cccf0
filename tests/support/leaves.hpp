#pragma once
/// Described structs down to their plain values, for tests that hold for every field of them.

#include <Eigen/Core>
#include <array>
#include <filesystem>
#include <memory>
#include <optional>
#include <sstream>
#include <string>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

#include "scan/model/fields.hpp"

namespace flitchwise::testing {

template <typename T>
concept IsList = requires(T& list) {
  list.begin();
  list.size();
}
&&!std::is_same_v<std::remove_const_t<T>, std::string> &&
    !std::is_same_v<std::remove_const_t<T>, std::vector<bool>> &&
    !std::is_same_v<std::remove_const_t<T>, std::filesystem::path> && !requires(T & matrix) {
  matrix.rows();
};

/// Calls visit(name, value) for every plain value that is reached from `value` by fields and lists.
template <typename Value, typename Visit>
void for_each_leaf(Value& value, const std::string& name, const Visit& visit) {
  if constexpr (Described<std::remove_const_t<Value>>) {
    for_each_field(value, [&](std::string_view field, auto& member) {
      for_each_leaf(member, name + (name.empty() ? "" : ".") + std::string(field), visit);
    });
  } else if constexpr (requires { value.rows(); }) {
    for (Eigen::Index i = 0; i < value.size(); ++i) {
      for_each_leaf(value.data()[i], name, visit);
    }
  } else if constexpr (IsList<Value>) {
    for (auto& each : value) {
      for_each_leaf(each, name, visit);
    }
  } else if constexpr (requires { value.has_value(); }) {
    if (value) {
      for_each_leaf(*value, name, visit);
    }
  } else if constexpr (requires { value.valueless_by_exception(); }) {
    std::visit([&](auto& held) { for_each_leaf(held, name, visit); }, value);
  } else if constexpr (!std::is_empty_v<std::remove_const_t<Value>>) {
    visit(name, value);
  }
}

/// Makes every list, matrix and optional that is reached hold something.
template <typename Value>
void grow(Value& value) {
  constexpr int kSome = 2;
  if constexpr (Described<Value>) {
    for_each_field(value, [](std::string_view, auto& member) { grow(member); });
  } else if constexpr (requires { value.rows(); }) {
    value = Value::Ones(Value::RowsAtCompileTime > 0 ? value.rows() : kSome, value.cols());
  } else if constexpr (requires { value.has_value(); }) {
    grow(value.emplace());
  } else if constexpr (requires { value.valueless_by_exception(); }) {
    std::visit([](auto& held) { grow(held); }, value);
  } else if constexpr (IsList<Value>) {
    if constexpr (requires { value.resize(kSome); }) {
      value.resize(kSome);
    }
    for (auto& each : value) {
      grow(each);
    }
  }
}

/// To another value of its type.
template <typename Leaf>
void change(Leaf& leaf) {
  if constexpr (std::is_same_v<Leaf, bool>) {
    leaf = !leaf;
  } else if constexpr (std::is_enum_v<Leaf>) {
    leaf = static_cast<Leaf>(static_cast<int>(leaf) == 0 ? 1 : 0);
  } else if constexpr (std::is_arithmetic_v<Leaf>) {
    leaf = static_cast<Leaf>(leaf + 1);
  } else if constexpr (std::is_same_v<Leaf, std::vector<bool>>) {
    leaf.push_back(true);
  } else if constexpr (std::is_same_v<Leaf, std::shared_ptr<const std::string>>) {
    leaf = std::make_shared<const std::string>(leaf ? *leaf + "a" : "b");
  } else {
    leaf += "c";
  }
}

/// Every plain value with its name and what it is.
template <typename Value>
std::vector<std::pair<std::string, std::string>> leaves(const Value& value) {
  std::vector<std::pair<std::string, std::string>> all;
  for_each_leaf(value, "", [&](const std::string& name, const auto& leaf) {
    using Leaf = std::remove_cvref_t<decltype(leaf)>;
    std::ostringstream text;
    text << std::hexfloat;
    if constexpr (std::is_enum_v<Leaf>) {
      text << static_cast<int>(leaf);
    } else if constexpr (std::is_same_v<Leaf, std::vector<bool>>) {
      for (const bool each : leaf) {
        text << each;
      }
    } else if constexpr (std::is_same_v<Leaf, std::shared_ptr<const std::string>>) {
      text << (leaf ? *leaf : "none");
    } else {
      text << leaf;
    }
    all.emplace_back(name, text.str());
  });
  return all;
}

}  // namespace flitchwise::testing
