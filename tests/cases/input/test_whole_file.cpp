#include "cases/input/input_error.hpp"
#include "cases/input/whole_file.hpp"
#include "tests/catch.hpp"
#include "tests/scratch.hpp"

#include <fstream>

using namespace tiltfin;
using namespace tiltfin::tests;

TEST_CASE("Whole file: bytes as they are, refused in our words when there is none",
          "[whole_file]") {
  const Scratch scratch("whole_file");
  const std::string bytes("a\r\n\0b\n", 6);
  std::ofstream(scratch / "file", std::ios::binary) << bytes;
  CHECK(read_whole_file(scratch / "file", "a log") == bytes);
  CHECK_THROWS_WITH(read_whole_file("no/such/file", "a log"),
                    "no/such/file: found no file that can be read, allowed a log");
  CHECK_THROWS_AS(read_whole_file(scratch / "", "a log"), InputError);
}

TEST_CASE("Whole file: devices and what is too large are refused before they are read",
          "[whole_file]") {
  const Scratch scratch("whole_file_large");
  CHECK_THROWS_WITH(read_whole_file("/dev/zero", "a case file"),
                    ContainsSubstring("directory or device"));
  std::ofstream(scratch / "file", std::ios::binary) << "123456";
  CHECK_THROWS_WITH(read_whole_file(scratch / "file", "a log", 5),
                    ContainsSubstring("found a file of 6 bytes, allowed a log of at most 5 bytes"));
  CHECK(read_whole_file(scratch / "file", "a log", 6) == "123456");
}
