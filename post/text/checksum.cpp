#include "post/text/checksum.hpp"

#include "post/text/json.hpp"

#include <boost/crc.hpp>
#include <fmt/format.h>

#include <utility>

namespace tiltfin {
namespace {

constexpr const char* json_member = "stored";
constexpr std::string_view line_begin = "\n<!-- stored as ";
constexpr std::string_view line_case = ", case_crc32 ";
constexpr std::string_view line_crc = ", crc32 ";
constexpr std::string_view line_end = " -->\n";
constexpr std::size_t n_digits = 8;

[[noreturn]] void refuse(const std::string& found) {
  throw StoredError(
      fmt::format("found {}, allowed the file as this program wrote it there", found));
}

[[noreturn]] void refuse_older() {
  throw StoredError("found no checksum (written by an older version, or cut short), allowed a file "
                    "with the checksum that this version writes");
}

Json stored_member(const StoredAs& as, const std::string& crc32) {
  Json member = Json::object();
  member.add("as", as.name);
  member.add("case_crc32", as.case_crc32);
  member.add("crc32", crc32);
  return member;
}

/// The object with another member at the end, or in the place of its own.
Json with_member(const Json& json, const Json& member) {
  Json with = Json::object();
  if (const auto* object = std::get_if<Json::Object>(&json.value())) {
    for (const auto& [key, value] : *object) {
      if (key != json_member) {
        with.add(key, value);
      }
    }
  }
  with.add(json_member, member);
  return with;
}

void check_checksum(const std::string& stored, const std::string& found) {
  if (stored != found) {
    refuse(fmt::format("contents that changed after they were written (their CRC-32 is {}, that "
                       "of what was written '{}')",
                       found, stored));
  }
}

void check_place(const StoredAs& found, const StoredAs& as) {
  if (found.name != as.name) {
    refuse(fmt::format("what was written as {}", found.name));
  }
  if (!as.case_crc32.empty() && found.case_crc32 != as.case_crc32) {
    refuse(fmt::format("what was written for another case (its CRC-32 is {}, that of this case {})",
                       found.case_crc32, as.case_crc32));
  }
}

/// What stands between two marks; refused where one is missing.
std::string_view between(std::string_view line, std::string_view begin, std::string_view end) {
  const std::size_t from = line.find(begin);
  const std::size_t to =
      from == std::string_view::npos ? std::string_view::npos : line.find(end, from + begin.size());
  if (to == std::string_view::npos) {
    refuse_older();
  }
  return line.substr(from + begin.size(), to - from - begin.size());
}

} // namespace

std::string crc32_of(std::string_view bytes) {
  boost::crc_32_type crc;
  crc.process_bytes(bytes.data(), bytes.size());
  return fmt::format("{:08x}", crc.checksum());
}

std::string stored_json(const std::string& text, const StoredAs& as) {
  const Json json = parse_json(text);
  const std::string crc32 = crc32_of(json_text(with_member(json, stored_member(as, ""))));
  return json_text(with_member(json, stored_member(as, crc32)));
}

void check_stored_json(const std::string& text, const StoredAs& as) {
  try {
    const Json json = parse_json(text);
    const Json* member = json.find(json_member);
    if (member == nullptr) {
      refuse_older();
    }
    const StoredAs found{member->at("as").text(), member->at("case_crc32").text()};
    check_checksum(member->at("crc32").text(),
                   crc32_of(json_text(with_member(json, stored_member(found, "")))));
    check_place(found, as);
  } catch (const JsonError& error) {
    refuse(fmt::format("a damaged file ({})", error.what()));
  }
}

std::string stored_bytes(std::string bytes, const StoredAs& as) {
  bytes += fmt::format("{}{}{}{}{}", line_begin, as.name, line_case, as.case_crc32, line_crc);
  bytes += crc32_of(bytes);
  bytes += line_end;
  return bytes;
}

std::string_view check_stored_bytes(std::string_view stored, const StoredAs& as) {
  const std::size_t begin = stored.rfind(line_begin);
  if (begin == std::string_view::npos || !stored.ends_with(line_end)) {
    refuse_older();
  }
  const std::string_view line = stored.substr(begin);
  const std::string_view crc32 = between(line, line_crc, line_end);
  const std::string_view covered = stored.substr(0, stored.size() - line_end.size() - n_digits);
  check_checksum(std::string(crc32), crc32_of(covered));
  check_place({std::string(between(line, line_begin, line_case)),
               std::string(between(line, line_case, line_crc))},
              as);
  return stored.substr(0, begin);
}

} // namespace tiltfin
