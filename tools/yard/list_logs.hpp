#pragma once
/// Which logs there are: the scans of a folder and what logs.csv says of them.

#include <filesystem>
#include <string>
#include <vector>

#include "tools/yard/content_hash.hpp"
#include "tools/yard/yard.hpp"

namespace flitchwise::yard {

struct ListedLog {
  std::string name;
  std::string file;  ///< below the yard's folder
  ScanRequest scan;  ///< with its file and all that is known of it
};

struct ListedLogs {
  std::vector<ListedLog> logs;     ///< sorted by file and name; every name once
  std::vector<std::string> notes;  ///< one sentence each: rows of logs.csv whose file is not there
};

/// logs.csv, in the yard's folder, has one line a log; its first line names the columns:
///   file               the scan, below the folder
///   log                what the log is called; else it goes by its file. Needed where one scan shows several
///   scale_length_mm    the log's length by tape
///   bark_mm, species   of this log
///   near               a point on the log in the file's coordinates, three numbers with blanks between, for
///                      a scan that shows several logs; each of them has a line of its own
///   unit, up           as on the command line
///   skip               yes: leave this scan out
/// All but `file` may be missing or empty; what is empty is as the request says for all. Throws InputError
/// with file, line and reason for a table that is none of this.
ListedLogs list_logs(const YardRequest& request);

}  // namespace flitchwise::yard
