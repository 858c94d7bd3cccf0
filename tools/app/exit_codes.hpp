#pragma once
/// How a command ends, for scripts.

namespace flitchwise::exit_code {

constexpr int done = 0;
constexpr int bad_use = 1;
constexpr int unreadable = 2;        ///< the input cannot be read
constexpr int scan_will_not_do = 3;  ///< the scan cannot support a plan
constexpr int no_board_fits = 4;
constexpr int stopped = 130;  ///< by Ctrl-C: 128 and the number of the signal, as shells count

}  // namespace flitchwise::exit_code
