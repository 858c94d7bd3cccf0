#pragma once
/// How the readers say what is wrong with a file.

#include <cstdint>
#include <filesystem>
#include <string>

namespace flitchwise::scan {

/// Throws InputError: the path, a blank, `what_is_wrong` (a predicate such as "is empty: ...") and a full
/// stop.
[[noreturn]] void fail(const std::filesystem::path& file, const std::string& what_is_wrong);

/// Throws InputError for a file that ends before the last promised point.
[[noreturn]] void fail_cut_short(const std::filesystem::path& file, std::uint64_t held,
                                 std::uint64_t promised);

/// 1234567 -> "1,234,567".
std::string grouped(std::uint64_t number);

}  // namespace flitchwise::scan
