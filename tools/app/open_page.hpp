#pragma once
/// Shows a written page in the person's browser.

#include <filesystem>
#include <string>

namespace flitchwise {

/// Hands the file to the desktop's opener (xdg-open). Returns "" or one sentence why it cannot be opened.
std::string open_page(const std::filesystem::path& file);

/// The same; the sentence goes to stderr. A build without the page says that instead.
void show_page(const std::filesystem::path& file);

}  // namespace flitchwise
