#include "tools/report/files.hpp"

#include <fstream>
#include <system_error>

#include "scan/model/errors.hpp"
#include "tools/report/page.hpp"
#include "tools/report/plan_json.hpp"
#include "tools/report/tables.hpp"

namespace flitchwise::report {
namespace {

namespace fs = std::filesystem;

/// Files that are removed again unless they are kept.
class Unfinished {
 public:
  Unfinished() = default;
  ~Unfinished() {
    for (const fs::path& file : files_) {
      std::error_code ignored;
      fs::remove(file, ignored);
    }
  }
  Unfinished(const Unfinished&) = delete;
  Unfinished& operator=(const Unfinished&) = delete;
  void add(const fs::path& file) { files_.push_back(file); }
  void keep_all() { files_.clear(); }

 private:
  std::vector<fs::path> files_;
};

void make_directory(const fs::path& directory) {
  std::error_code error;
  fs::create_directories(directory, error);
  if (error || !fs::is_directory(directory, error)) {
    throw InputError(directory.string() +
                     " cannot be made a directory: choose another place for the results.");
  }
}

void write_file(const fs::path& file, const std::string& bytes) {
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  out.close();
  if (!out) {
    throw InputError(file.string() + " cannot be written: check the disk's space and access rights.");
  }
}

}  // namespace

std::vector<fs::path> write_together(const fs::path& directory, const std::vector<NamedBytes>& files) {
  make_directory(directory);
  std::vector<fs::path> paths;
  Unfinished temporaries;
  for (const NamedBytes& file : files) {
    paths.push_back(directory / file.name);
    if (fs::is_directory(paths.back())) {
      throw InputError(paths.back().string() + " is a directory: remove it, or choose another place.");
    }
    const fs::path temporary = directory / ("." + file.name + ".part");
    temporaries.add(temporary);
    write_file(temporary, file.bytes);
  }
  for (const NamedBytes& file : files) {
    std::error_code error;
    fs::rename(directory / ("." + file.name + ".part"), directory / file.name, error);
    if (error) {
      throw InputError((directory / file.name).string() + " cannot be written (" + error.message() +
                       "): check its access rights.");
    }
  }
  temporaries.keep_all();
  return paths;
}

std::vector<fs::path> write_report(const Report& report, const fs::path& directory) {
  std::vector<NamedBytes> files = {{"plan.json", plan_json(report)},  {"supports.csv", supports_csv(report)},
                                   {"cuts.csv", cuts_csv(report)},    {"sheet.pdf", sheet_pdf(report)},
                                   {"plan.svg", picture_svg(report)}, {"plan.png", picture_png(report)}};
  if (page_available()) {
    files.push_back({"plan.html", page_html(report)});
  }
  if (report.templates) {
    files.push_back({"templates.pdf", templates_pdf(report)});
  }
  return write_together(directory, files);
}

}  // namespace flitchwise::report
