#pragma once
/// Formats that are not read, by the first bytes: so that the message can say what to export instead.

#include <optional>
#include <string>
#include <string_view>

namespace flitchwise::scan {

/// What the file is and what to do, to follow the path in a sentence ("is a mesh in ...: export ...");
/// nothing if the bytes are unknown.
std::optional<std::string> recognise_foreign(std::string_view bytes);

}  // namespace flitchwise::scan
