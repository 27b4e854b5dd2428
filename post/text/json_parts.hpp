#pragma once
// What the json files have in common. For the .cpp files of this folder, which alone see the json
// library.

#include <nlohmann/json.hpp>

#include <string>

namespace tiltfin {

using Json = nlohmann::ordered_json;

/// The object as a file: indented, keys in the order given, NaN and infinity as null.
[[nodiscard]] inline std::string json_text(const Json& object) {
  return object.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace tiltfin
