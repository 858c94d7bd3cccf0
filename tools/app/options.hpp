#pragma once
/// Options of a command that write straight into the fields of a request, from a person's words and units.
/// The request must outlive the parsing.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <type_traits>
#include <vector>

#include "scan/model/limits.hpp"
#include "tools/job/from_words.hpp"

namespace flitchwise {

/// "Seconds for the proof (default 30)", as the field has it before the parsing; without where that is 0.
template <typename Member>
std::string with_default(const std::string& help, const Member& member, const PersonUnit& unit) {
  if constexpr (std::is_arithmetic_v<Member>) {
    if (member != Member{}) {
      std::ostringstream text;
      text << help << " (default " << unit.from_field(static_cast<double>(member)) << ')';
      return text.str();
    }
  }
  return help;
}

/// For a described number, or several with commas between. Its name says the unit that people give it in, its
/// limits or `range` (in the field's unit) what it may be; BadUse names the flag.
template <auto Pointer, typename Request>
CLI::Option* add_number(CLI::App& command, const std::string& flag, Request& request, const std::string& help,
                        const Range& range) {
  using Member = typename PointedTo<decltype(Pointer)>::Type;
  auto& member = static_cast<typename PointedTo<decltype(Pointer)>::In&>(request).*Pointer;
  const PersonUnit unit = person_unit(name_of(Pointer));
  const auto to_field = [flag, range, unit](double value) {
    require_within(range, unit.to_field(value), flag, unit);
    return unit.to_field(value);
  };
  if constexpr (requires { member.push_back(0.0); }) {
    const auto set = [&member, to_field](const std::vector<double>& values) {
      member.clear();
      std::transform(values.begin(), values.end(), std::back_inserter(member), to_field);
    };
    return command.add_option_function<std::vector<double>>(flag, set, help)
        ->delimiter(',')
        ->allow_extra_args(false);
  } else if constexpr (std::is_integral_v<Member>) {
    const auto set = [&member, to_field](Member value) {
      member = value;
      to_field(static_cast<double>(value));
    };
    return command.add_option_function<Member>(flag, set, with_default(help, member, unit));
  } else {
    const auto set = [&member, to_field](double value) { member = to_field(value); };
    return command.add_option_function<double>(flag, set, with_default(help, member, unit));
  }
}

template <auto Pointer, typename Request>
CLI::Option* add_number(CLI::App& command, const std::string& flag, Request& request,
                        const std::string& help) {
  return add_number<Pointer>(command, flag, request, help, range_of<Pointer>());
}

/// For a text that `parse(text, flag)` makes the field of, or throws.
template <typename Field, typename Parse>
CLI::Option* add_text(CLI::App& command, const std::string& flag, Field& field, const Parse& parse,
                      const std::string& help) {
  return command.add_option_function<std::string>(
      flag, [&field, parse, flag](const std::string& text) { field = parse(text, flag); }, help);
}

/// For one of some words, whatever its case.
template <typename Field>
CLI::Option* add_choice(CLI::App& command, const std::string& flag, Field& field,
                        const std::map<std::string, Field>& choices, const std::string& help) {
  return add_text(
      command, flag, field,
      [choices](const std::string& word, const std::string& name) { return chosen(choices, name, word); },
      help);
}

}  // namespace flitchwise
