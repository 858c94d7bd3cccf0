#pragma once
/// How a command ends, for scripts.

namespace flitchwise::exit_code {

constexpr int done = 0;
constexpr int bad_use = 1;
constexpr int unreadable = 2;        ///< the input cannot be read
constexpr int scan_will_not_do = 3;  ///< the scan cannot support a plan
constexpr int no_board_fits = 4;

}  // namespace flitchwise::exit_code
