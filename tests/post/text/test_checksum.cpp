#include "post/text/checksum.hpp"
#include "post/text/json.hpp"
#include "tests/catch.hpp"

#include <limits>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

const StoredAs here{"summary.json", "0badcafe"};

/// Every kind of value, one that is no number, a letter that is not ASCII.
std::string object_text() {
  Json object = Json::object();
  object.add("title", "größer");
  object.add("rise_k", 16.25);
  object.add("small", 1e-300);
  object.add("none", std::numeric_limits<double>::quiet_NaN());
  object.add("cells", 1200);
  object.add("flag", true);
  Json list = Json::list();
  list.push(Json(0.1));
  list.push(Json(-0.0));
  object.add("list", std::move(list));
  return json_text(object);
}

/// The object without what it says of itself.
std::string values_of(const std::string& text) {
  const Json json = parse_json(text);
  Json values = Json::object();
  for (const auto& [key, value] : std::get<Json::Object>(json.value())) {
    if (key != "stored") {
      values.add(key, value);
    }
  }
  return json_text(values);
}

} // namespace

// The check value of CRC-32 as catalogued for PKZIP, PNG and ISO 3309 (G. Cook, Catalogue of
// parametrised CRC algorithms; from memory): that of the digits 1 to 9.
TEST_CASE("Checksum: it is the CRC-32 that other programs compute", "[checksum]") {
  CHECK(crc32_of("123456789") == "cbf43926");
  CHECK(crc32_of("") == "00000000");
}

TEST_CASE("Checksum: a stored object holds its values and can be checked by any program",
          "[checksum]") {
  const std::string stored = stored_json(object_text(), here);
  CHECK_NOTHROW(check_stored_json(stored, here));
  CHECK_NOTHROW(check_stored_json(stored, {"summary.json", ""}));
  CHECK(values_of(stored) == object_text());
  CHECK(stored_json(stored, here) == stored);
  // As the README says: of the file without the eight digits.
  const std::size_t place = stored.rfind("\"crc32\": \"") + 10;
  std::string without = stored;
  without.erase(place, 8);
  CHECK(crc32_of(without) == stored.substr(place, 8));
}

TEST_CASE("Checksum: an object is believed when its blanks change, not when it is elsewhere",
          "[checksum]") {
  const std::string stored = stored_json(object_text(), here);
  std::string dense;
  for (const char c : stored) {
    if (c != '\n') {
      dense += c;
    }
  }
  CHECK_NOTHROW(check_stored_json(dense, here));
  CHECK_THROWS_WITH(check_stored_json(stored, {"why.json", "0badcafe"}),
                    ContainsSubstring("found what was written as summary.json"));
  CHECK_THROWS_WITH(check_stored_json(stored, {"summary.json", "00000001"}),
                    ContainsSubstring("another case") && ContainsSubstring("00000001"));
  CHECK_THROWS_WITH(check_stored_json(object_text(), here), ContainsSubstring("older version"));
  CHECK_THROWS_WITH(check_stored_json("[1]", here), ContainsSubstring("damaged"));
  CHECK_THROWS_AS(check_stored_json("{\"stored\": 3}", here), StoredError);
  CHECK_THROWS_AS(check_stored_json("{\"stored\": {}}", here), StoredError);
}

TEST_CASE("Checksum: no changed byte of an object is believed unless its values are the same",
          "[checksum]") {
  const std::string stored = stored_json(object_text(), here);
  int n_believed = 0;
  for (std::size_t k = 0; k < stored.size(); ++k) {
    for (int value = static_cast<int>(k) % 3; value < 256; value += 3) {
      std::string changed = stored;
      changed[k] = static_cast<char>(value);
      if (changed[k] == stored[k]) {
        continue;
      }
      bool is_believed = true;
      try {
        check_stored_json(changed, here);
      } catch (const StoredError&) {
        is_believed = false;
      }
      if (is_believed) {
        ++n_believed;
        if (values_of(changed) != object_text()) {
          FAIL_CHECK("byte " << k << " as " << value);
        }
      }
    }
  }
  CHECK(n_believed > 0); // blanks
}

TEST_CASE("Checksum: no changed, lost or added byte of other files is believed", "[checksum]") {
  const std::string bytes{"\x00\xff<VTKFile>\n<!-- stored as x -->\n", 33};
  const std::string stored = stored_bytes(bytes, here);
  CHECK(check_stored_bytes(stored, here) == bytes);
  CHECK(check_stored_bytes(stored_bytes("", here), here).empty());
  const auto is_believed = [](const std::string& text) {
    try {
      (void)check_stored_bytes(text, here);
      return true;
    } catch (const StoredError&) {
      return false;
    }
  };
  for (std::size_t k = 0; k < stored.size(); ++k) {
    INFO(k);
    for (int bit = 0; bit < 8; ++bit) {
      std::string changed = stored;
      changed[k] = static_cast<char>(changed[k] ^ (1 << bit));
      CHECK_FALSE(is_believed(changed));
    }
    std::string other = stored;
    CHECK_FALSE(is_believed(other.erase(k, 1)));
    other = stored;
    CHECK_FALSE(is_believed(other.insert(k, 1, '0')));
    CHECK_FALSE(is_believed(stored.substr(0, k)));
    CHECK_FALSE(is_believed(stored.substr(k + 1)));
  }
  CHECK_THROWS_WITH(check_stored_bytes(bytes, here), ContainsSubstring("older version"));
  CHECK_THROWS_WITH(check_stored_bytes(stored, {"why.json", ""}),
                    ContainsSubstring("written as summary.json"));
  CHECK_THROWS_WITH(check_stored_bytes(stored, {"summary.json", "1"}),
                    ContainsSubstring("another case"));
}
