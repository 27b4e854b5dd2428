#include "cases/file/shown.hpp"

#include "cases/file/stored.hpp"
#include "cases/input/whole_file.hpp"
#include "post/text/json.hpp"

#include <fmt/format.h>

#include <map>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr const char* shown_member = "crc32";

/// By path in the directory; none where the list is missing. Throws StoredInputError.
std::map<std::string, std::string> shown_in(const fs::path& directory) {
  const fs::path path = directory / shown_file;
  std::map<std::string, std::string> kept;
  if (!fs::exists(path)) {
    return kept;
  }
  const Json json = parse_json(read_stored_json(path, "", "checksums of charts and tables"));
  const Json& files = json.at(shown_member);
  if (const auto* object = std::get_if<Json::Object>(&files.value())) {
    for (const auto& [name, crc32] : *object) {
      kept[name] = crc32.text();
    }
  }
  return kept;
}

std::map<std::string, std::string> shown_or_none(const fs::path& directory) {
  try {
    return shown_in(directory);
  } catch (const StoredInputError&) {
    return {}; // what it held is told of file by file
  }
}

} // namespace

void keep_shown(const fs::path& directory, const std::vector<std::string>& names) {
  std::map<std::string, std::string> kept = shown_or_none(directory);
  std::erase_if(kept, [&](const auto& file) { return !fs::exists(directory / file.first); });
  for (const std::string& name : names) {
    kept[name] = crc32_of(read_whole_file(directory / name, "a file just written"));
  }
  Json files = Json::object();
  for (const auto& [name, crc32] : kept) {
    files.add(name, crc32);
  }
  Json json = Json::object();
  json.add(shown_member, files);
  write_stored_json(directory / shown_file, json_text(json), ""); // of several cases
}

std::string fault_of_shown(const fs::path& directory, const std::string& name,
                           const std::string& text) {
  std::map<std::string, std::string> kept;
  try {
    kept = shown_in(directory);
  } catch (const StoredInputError& error) {
    return fmt::format("its checksum cannot be read: {}", error.found);
  }
  const auto file = kept.find(name);
  if (file == kept.end()) {
    return fmt::format("found no checksum in {} (written by an older version, or by a run that was "
                       "stopped), allowed a file whose checksum this version keeps there",
                       shown_file);
  }
  const std::string found = crc32_of(text);
  return found == file->second
             ? ""
             : fmt::format("found contents that changed after they were written (their CRC-32 is "
                           "{}, that of what was written {}), allowed the file as this program "
                           "wrote it there",
                           found, file->second);
}

} // namespace tiltfin
