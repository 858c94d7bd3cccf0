#pragma once
/// The sources of yard.html, embedded when the program is built.

#include <string_view>

namespace flitchwise::yard {

/// The page with a place for each of the others: style, program and data.
std::string_view page_frame();
/// What it shares with plan.html, then its own.
std::string_view page_shared_style();
std::string_view page_style();
std::string_view page_program();

}  // namespace flitchwise::yard
