#include "cases/commands/faults.hpp"
#include "cases/input/input_error.hpp"
#include "post/text/text_file.hpp"
#include "solver/air.hpp"
#include "tests/catch.hpp"

#include <filesystem>
#include <stdexcept>

using namespace tiltfin;
using tiltfin::tests::ContainsSubstring;

TEST_CASE("Faults: a bug of ours does not blame the user", "[faults]") {
  const Fault fault = fault_of(std::make_exception_ptr(std::logic_error("index beyond the end")));
  CHECK(fault.code == own_fault);
  CHECK_THAT(fault.message,
             ContainsSubstring("a fault of the program") && ContainsSubstring("index beyond"));
  CHECK(fault_of(std::make_exception_ptr(std::runtime_error("lost"))).code == own_fault);
  CHECK(fault_of(std::make_exception_ptr(7)).code == own_fault);
}

TEST_CASE("Faults: what the user or the disk can mend keeps its own code and words", "[faults]") {
  const Fault input = fault_of(std::make_exception_ptr(InputError("a.toml:3: key 'x'")));
  CHECK(input.code == bad_input);
  CHECK(input.message == "a.toml:3: key 'x'");
  CHECK(fault_of(std::make_exception_ptr(AirRangeError("too hot"))).code == bad_input);
  CHECK(fault_of(std::make_exception_ptr(WriteError("cannot write a"))).code == cannot_write);
  const std::filesystem::filesystem_error full(
      "raw", "out/x", std::make_error_code(std::errc::read_only_file_system));
  const Fault disk = fault_of(std::make_exception_ptr(full));
  CHECK(disk.code == cannot_write);
  CHECK(disk.message == "cannot use out/x as a file or directory: Read-only file system");
  const Fault memory = fault_of(std::make_exception_ptr(std::bad_alloc()));
  CHECK(memory.code == cannot_write);
  CHECK_THAT(memory.message, ContainsSubstring("memory ran out") && ContainsSubstring("check"));
}
