#include "tools/page/page_template.hpp"

namespace flitchwise::report {

std::vector<std::string_view> page_template() {
  return {};
}

}  // namespace flitchwise::report
