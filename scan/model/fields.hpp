#pragma once
/// One description of a struct's fields, for its bytes and hash, its JSON, its checks and its options. It
/// stands below the definition, in the struct's own namespace, and lists every field:
///
///     struct Place { double x_m = 0; double theta_rad = 0; };
///     FLITCHWISE_FIELDS(Place, x_m, theta_rad)
///
/// A field that is missing from the list or named twice does not compile.

#include <string_view>
#include <tuple>
#include <type_traits>

namespace flitchwise {

/// What a member pointer points to, and in what.
template <typename Pointer>
struct PointedTo;
template <typename Member, typename Struct>
struct PointedTo<Member Struct::*> {
  using Type = Member;
  using In = Struct;
};

/// A field's name and the pointer to it.
template <typename Struct, typename Member>
struct Field {
  std::string_view name;
  Member Struct::*member;
};
template <typename Struct, typename Member>
Field(const char*, Member Struct::*) -> Field<Struct, Member>;

/// Whether Struct was given to FLITCHWISE_FIELDS.
template <typename Struct>
concept Described = requires(const Struct* described) {
  fields_of(described);
};

/// std::tuple of Field, in the order of the description.
template <Described Struct>
constexpr auto fields() {
  return fields_of(static_cast<const Struct*>(nullptr));
}

/// Calls visit(name, member) for every field of `value`, which may be const.
template <typename Value, typename Visit>
constexpr void for_each_field(Value& value, Visit&& visit) {
  std::apply([&](const auto&... field) { (visit(field.name, value.*field.member), ...); },
             fields<std::remove_const_t<Value>>());
}

/// The name of a described field: name_of(&Place::x_m) is "x_m".
template <typename Struct, typename Member>
constexpr std::string_view name_of(Member Struct::*member) {
  std::string_view name;
  const auto look = [&](const auto& field) {
    if constexpr (std::is_same_v<decltype(field.member), Member Struct::*>) {
      name = field.member == member ? field.name : name;
    }
  };
  std::apply([&](const auto&... field) { (look(field), ...); }, fields<Struct>());
  return name;
}

}  // namespace flitchwise

// Macros, since C++20 has no other way from a name to its text. The structured binding is what counts the
// fields; the list grows by one a step of the expansion, which is enough for 85 of them.
#define FLITCHWISE_FIELDS(Struct, ...)                                                \
  constexpr auto fields_of(const Struct*) {                                           \
    constexpr auto has_all = [](const Struct& described) {                            \
      [[maybe_unused]] const auto& [__VA_ARGS__] = described;                         \
    };                                                                                \
    static_cast<void>(has_all);                                                       \
    return std::tuple{FLITCHWISE_EXPAND(FLITCHWISE_FIELD_LIST(Struct, __VA_ARGS__))}; \
  }
/// The same for a struct without any field.
#define FLITCHWISE_NO_FIELDS(Struct)        \
  constexpr auto fields_of(const Struct*) { \
    static_assert(std::is_empty_v<Struct>); \
    return std::tuple{};                    \
  }
#define FLITCHWISE_FIELD_LIST(Struct, member, ...)          \
  ::flitchwise::Field{#member, &Struct::member} __VA_OPT__( \
      , FLITCHWISE_FIELD_LIST_AGAIN FLITCHWISE_PARENTHESES(Struct, __VA_ARGS__))
#define FLITCHWISE_FIELD_LIST_AGAIN() FLITCHWISE_FIELD_LIST
#define FLITCHWISE_PARENTHESES ()
#define FLITCHWISE_EXPAND(...) \
  FLITCHWISE_EXPAND_3(FLITCHWISE_EXPAND_3(FLITCHWISE_EXPAND_3(FLITCHWISE_EXPAND_3(__VA_ARGS__))))
#define FLITCHWISE_EXPAND_3(...) \
  FLITCHWISE_EXPAND_2(FLITCHWISE_EXPAND_2(FLITCHWISE_EXPAND_2(FLITCHWISE_EXPAND_2(__VA_ARGS__))))
#define FLITCHWISE_EXPAND_2(...) \
  FLITCHWISE_EXPAND_1(FLITCHWISE_EXPAND_1(FLITCHWISE_EXPAND_1(FLITCHWISE_EXPAND_1(__VA_ARGS__))))
#define FLITCHWISE_EXPAND_1(...) __VA_ARGS__
