#pragma once
/// The page that tools/page/bundle.mjs made of the sources in tools/page/src.

#include <string_view>
#include <vector>

namespace flitchwise::report {

/// In parts, to be joined; empty if this build has no page.
std::vector<std::string_view> page_template();

}  // namespace flitchwise::report
