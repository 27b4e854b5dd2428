#include "cases/file/case.hpp"
#include "cases/logs/bench_log.hpp"
#include "cases/logs/csv_reader.hpp"
#include "cases/logs/log_values.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <vector>

namespace tiltfin::tests {
namespace {

/// Everything read from a log.
struct Reading {
  LogCounts counts;
  std::vector<LogSample> samples;
};

Reading read(const std::filesystem::path& path, const LogMapping& mapping) {
  Reading reading;
  reading.counts = read_log(path.string(), mapping,
                            [&](const LogSample& sample) { reading.samples.push_back(sample); });
  return reading;
}

LogMapping mapping_of(const std::vector<std::string>& temperatures, const std::string& ambient) {
  LogMapping mapping;
  mapping.temperature = temperatures;
  mapping.ambient = ambient;
  mapping.power_w = 20.0;
  return mapping;
}

std::string refusal(const std::filesystem::path& path, const LogMapping& mapping) {
  try {
    (void)read(path, mapping);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

double seconds(const std::string& text) {
  const auto stamp = parse_time_stamp(text);
  REQUIRE(stamp.has_value());
  return stamp->seconds;
}

} // namespace

TEST_CASE("Log values: numbers with point and comma, and what is none", "[bench_log]") {
  CHECK(parse_number("23.5").value() == 23.5);
  CHECK(parse_number("23,5").value() == 23.5);
  CHECK(parse_number(" +1e-3 ").value() == 1e-3);
  CHECK(parse_number("-4").value() == -4.0);
  for (const char* text :
       {"", "x", "1.234,5", "1,2,3", "12 W", "nan", "inf", "1e999", "--1", "+-1"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_number(text).has_value());
  }
  for (const char* text : {"", " ", "-", "---", "NaN", "N/A", "null"}) {
    CHECK(is_missing(text));
  }
  CHECK_FALSE(is_missing("0"));
}

TEST_CASE("Log values: time stamps", "[bench_log]") {
  // 2026-03-01 is 20513 days after 1970-01-01: 56 years of 365 days, 14 leap days, 31 + 28 days.
  const double day = 86400.0 * (56 * 365 + 14 + 31 + 28);
  CHECK(seconds("2026-03-01T00:00:00Z") == day);
  CHECK(seconds("2026-03-01 12:30") == day + 45000.0);
  CHECK(seconds("01.03.2026 00:00:01.5") == day + 1.5);
  CHECK(seconds("2026-03-01T01:00:00+01:00") == day);
  CHECK(seconds("2026/3/1 0:00:01,25") == day + 1.25);
  CHECK(seconds("12:30:05") == 45005.0);
  CHECK_FALSE(parse_time_stamp("12:30").value().has_date);
  for (const char* text : {"2026-02-30 12:00", "2026-13-01 12:00", "03/01/2026 12:00", "25:00",
                           "12:60", "12", "2026-03-01", "12:30 pm", "2026-03-01T12:30:00+99:00"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_time_stamp(text).has_value());
  }
}

TEST_CASE("CSV reader: quotes, ends of line, byte order mark, lines", "[bench_log]") {
  const Scratch scratch("csv");
  put(scratch / "a.csv",
      "\xEF\xBB\xBFt;\"a;b\"\r\n\r\n1; 2,5 \r3;\"say \"\"x\"\"\"\n4;\"two\nlines\"\n5;6");
  CsvReader reader((scratch / "a.csv").string(), ';');
  CsvRow row;
  REQUIRE(reader.next(row));
  CHECK(row.cells == std::vector<std::string>{"t", "a;b"});
  CHECK(row.line == 1);
  REQUIRE(reader.next(row)); // the empty line 2 is passed over
  CHECK(row.cells == std::vector<std::string>{"1", "2,5"});
  CHECK(row.line == 3);
  REQUIRE(reader.next(row));
  CHECK(row.cells == std::vector<std::string>{"3", "say \"x\""});
  CHECK(row.line == 4);
  REQUIRE(reader.next(row));
  CHECK(row.cells[1] == "two\nlines");
  CHECK(row.line == 6);
  REQUIRE(reader.next(row)); // without an end of line
  CHECK(row.cells == std::vector<std::string>{"5", "6"});
  CHECK(row.line == 7);
  CHECK_FALSE(reader.next(row));
}

TEST_CASE("CSV reader: what cannot be read is refused", "[bench_log]") {
  const Scratch scratch("csv-bad");
  CHECK_THROWS_AS(CsvReader((scratch / "none.csv").string(), ','), InputError);
  CHECK_THROWS_AS(CsvReader((scratch / "").string(), ','), InputError);
  put(scratch / "wide.csv", std::string("\xFF\xFE") + "t\0a"); // UTF-16
  CsvRow row;
  CsvReader wide((scratch / "wide.csv").string(), ',');
  CHECK_THROWS_AS(wide.next(row), InputError);
  put(scratch / "open.csv", "a,b\n1,\"2\n" + std::string(3'000'000, 'x'));
  CsvReader open((scratch / "open.csv").string(), ',');
  REQUIRE_THROWS_AS(
      [&] {
        while (open.next(row)) {
        }
      }(),
      InputError);
}

TEST_CASE("Bench log: seconds, commas, several cores, power as a column", "[bench_log]") {
  const Scratch scratch("log-a");
  put(scratch / "a.csv", "time_s,core 0,core 1,room,power_w\n"
                         "100,30,32,20,19\n130,31,,20,20\n160,40,44,21,21\n");
  LogMapping mapping = mapping_of({"Core 0", "core 1"}, "room");
  mapping.power = "power_w";
  const Reading reading = read(scratch / "a.csv", mapping);
  REQUIRE(reading.samples.size() == 2);
  CHECK(reading.samples[0].time_s == 0.0);
  CHECK(reading.samples[0].temperature_c == 31.0);
  CHECK(reading.samples[1].time_s == 60.0);
  CHECK(reading.samples[1].temperature_c == 42.0);
  CHECK(reading.samples[1].ambient_c == 21.0);
  CHECK(reading.samples[1].power_w == 21.0);
  CHECK(reading.counts.rows == 3);
  CHECK(reading.counts.missing == 1);
  CHECK(reading.counts.bad == 0);
  mapping.takes_hottest = true;
  CHECK(read(scratch / "a.csv", mapping).samples[1].temperature_c == 44.0);
}

TEST_CASE("Bench log: a preamble, a row of units, decimal commas, date and time apart, midnight",
          "[bench_log]") {
  const Scratch scratch("log-b");
  put(scratch / "b.csv", "made by a logger\r\nserial;7\r\n\r\nDate;Time;T;Room\r\n;;degC;degC\r\n"
                         "28.02.2026;23:59:30;30,5;20,0\r\n01.03.2026;00:00:30;31,5;20,0\r\n");
  LogMapping mapping = mapping_of({"T"}, "Room");
  mapping.time = {"Date", "Time"};
  const Reading dated = read(scratch / "b.csv", mapping);
  REQUIRE(dated.samples.size() == 2);
  CHECK(dated.samples[1].time_s == 60.0);
  CHECK(dated.samples[1].temperature_c == 31.5);
  CHECK(dated.counts.rows == 2); // the row of units belongs to the heading
  CHECK_THAT(dated.counts.notes[0], ContainsSubstring("1 more row before the data"));
  mapping.time = {"Time"}; // a clock only: falling back by a day has passed midnight
  CHECK(read(scratch / "b.csv", mapping).samples[1].time_s == 60.0);
}

TEST_CASE("Bench log: tabs, minutes, columns by number, no heading, a part of the log",
          "[bench_log]") {
  const Scratch scratch("log-c");
  std::string text;
  for (int k = 0; k < 20; ++k) {
    text += std::to_string(k) + "\t" + std::to_string(30 + k) + "\n";
  }
  put(scratch / "c.csv", text);
  LogMapping mapping = mapping_of({"2"}, "");
  mapping.ambient_c = 20.0;
  mapping.time_unit = "min";
  mapping.from_min = 5.0;
  mapping.to_min = 10.0;
  const Reading reading = read(scratch / "c.csv", mapping);
  REQUIRE(reading.samples.size() == 5); // minutes 5 to 9: the end is left out
  CHECK(reading.samples[0].temperature_c == 35.0);
  CHECK(reading.samples[0].time_s == 0.0);
  CHECK(reading.samples[4].time_s == 240.0);
  CHECK(reading.counts.outside == 15);
}

TEST_CASE("Bench log: the room from a second log, interpolated, missing where none is near",
          "[bench_log]") {
  const Scratch scratch("log-d");
  put(scratch / "d.csv", "stamp,T\n2026-03-01 12:00:00,40\n2026-03-01 12:05:00,41\n"
                         "2026-03-01 13:00:00,42\n");
  put(scratch / "room.csv", "when;room\n2026-03-01T12:00:00Z;20,0\n2026-03-01T12:10:00Z;22,0\n");
  LogMapping mapping = mapping_of({"T"}, "room");
  mapping.ambient_file = (scratch / "room.csv").string();
  const Reading reading = read(scratch / "d.csv", mapping);
  REQUIRE(reading.samples.size() == 2);
  CHECK(reading.samples[0].ambient_c == 20.0);
  CHECK_THAT(reading.samples[1].ambient_c, WithinRel(21.0, 1e-12));
  CHECK(reading.counts.missing == 1); // 50 min after the last sample of the room
  put(scratch / "room.csv", "when;room\n0;20\n600;22\n");
  CHECK_THAT(refusal(scratch / "d.csv", mapping), ContainsSubstring("times of another kind"));
}

TEST_CASE("Bench log: bad rows carry file, line and reason, and are counted", "[bench_log]") {
  const Scratch scratch("log-e");
  put(scratch / "e.csv", "t_s,T,room\n0,30,20\n60,x,20\n120,-127,20\n30,31,20\nlate,31,20\n180\n"
                         "240,31,20\n300,32,20\n360,32,20\n420,33,20\n480,34,20\n540,,20\n");
  const Reading reading = read(scratch / "e.csv", mapping_of({"T"}, "room"));
  CHECK(reading.counts.rows == 12);
  CHECK(reading.counts.used == 7);
  CHECK(reading.counts.missing == 1);
  CHECK(reading.counts.bad == 4); // 30 s is no step back: the bad rows' times do not count
  REQUIRE(reading.counts.bad_rows.size() == 4);
  CHECK(reading.counts.bad_rows[0].line == 3);
  CHECK_THAT(reading.counts.bad_rows[0].why, ContainsSubstring("'x' is not a number"));
  CHECK(reading.counts.bad_rows[1].line == 4);
  CHECK_THAT(reading.counts.bad_rows[1].why, ContainsSubstring("outside -60 to 300"));
  CHECK_THAT(reading.counts.bad_rows[2].why, ContainsSubstring("'late' is not a time"));
  CHECK_THAT(reading.counts.bad_rows[3].why, ContainsSubstring("fewer cells"));
  CHECK(reading.counts.used + reading.counts.missing + reading.counts.outside +
            reading.counts.bad ==
        reading.counts.rows);
}

TEST_CASE("Bench log: wrong input is refused with file and what is allowed", "[bench_log]") {
  const Scratch scratch("log-f");
  LogMapping mapping = mapping_of({"Core"}, "room");
  CHECK_THAT(refusal(scratch / "none.csv", mapping), ContainsSubstring("none.csv"));
  put(scratch / "f.csv", "t_s,core 0,room\n0,1,2\n");
  const std::string unknown = refusal(scratch / "f.csv", mapping);
  CHECK_THAT(unknown, ContainsSubstring("f.csv:1") && ContainsSubstring("'Core'") &&
                          ContainsSubstring("nearest 'core 0'"));
  put(scratch / "f.csv", "t_s,Core,room\n");
  CHECK_THAT(refusal(scratch / "f.csv", mapping), ContainsSubstring("no row with numbers"));
  put(scratch / "f.csv", "t_s,Core,room\na,b,c\nd,e,f\n");
  CHECK_THAT(refusal(scratch / "f.csv", mapping), ContainsSubstring("no row with numbers"));
  put(scratch / "f.csv", "");
  CHECK_THAT(refusal(scratch / "f.csv", mapping), ContainsSubstring("empty file"));
  put(scratch / "f.csv", "t_s,Core,room\n500,30,20\n400,30,20\n300,30,20\n200,30,20\n");
  const std::string unsorted = refusal(scratch / "f.csv", mapping);
  CHECK_THAT(unsorted, ContainsSubstring("f.csv:3") && ContainsSubstring("3 bad rows of 4") &&
                           ContainsSubstring("100 s before that of an earlier row"));
  mapping.power = "P";
  put(scratch / "f.csv", "t_s,Core,room,P\n0,30,20,-5\n60,30,20,-5\n120,30,20,5\n");
  CHECK_THAT(refusal(scratch / "f.csv", mapping), ContainsSubstring("-5 is outside 0"));
}

TEST_CASE("Bench log: rows that do not fit the heading are counted, not read shifted",
          "[bench_log]") {
  const Scratch scratch("log-wide");
  const LogMapping mapping = mapping_of({"T"}, "room");
  // Decimal commas without quotes: as three cells the first row would be 22 over 2 degrees.
  put(scratch / "w.csv", "t_s,T,room\n30,22,2,21,5\n60,23,1,21,5\n90,24,0,21,5\n");
  CHECK_THAT(refusal(scratch / "w.csv", mapping),
             ContainsSubstring("w.csv:4: found no row with numbers") &&
                 ContainsSubstring("the row has 5 cells, the heading 3"));
  put(scratch / "w.csv", "t_s,T,room\n0,30,20,,\n60,31,20\n120,3,2,20\n180,32,20\n");
  const Reading reading = read(scratch / "w.csv", mapping); // empty cells at the end hold nothing
  CHECK(reading.counts.used == 3);
  CHECK(reading.counts.bad == 1);
  CHECK(reading.counts.bad_rows.at(0).line == 4);
}

TEST_CASE("Bench log: thousands are never guessed from decimals", "[bench_log]") {
  const Scratch scratch("log-marks");
  LogMapping mapping = mapping_of({"T"}, "room");
  mapping.power = "P";
  const auto refused = [&](const std::string& first, const std::string& second) {
    put(scratch / "m.csv",
        "t_s;T;room;P\n0;30;20;" + first + "\n60;30;20;" + second + "\n120;30;20;" + second + "\n");
    return refusal(scratch / "m.csv", mapping);
  };
  CHECK_THAT(refused("998.5", "\"1,010\""),
             ContainsSubstring("m.csv:3: found '1,010' in a column with '998.5' (line 2), allowed "
                               "one decimal mark"));
  CHECK_THAT(refused("998", "1,010"), ContainsSubstring("thousands or decimals"));
  CHECK(refused("998,5", "1,010").empty()); // 998,5 shows what a comma is here
  CHECK(refused("10,250", "10,125").empty());
  put(scratch / "m.csv", "t_s;T;room;P\n0;30;20;5\n60;30,125;20;5\n"); // no room for thousands
  CHECK(refusal(scratch / "m.csv", mapping).empty());
}

TEST_CASE("Bench log: a name of two columns, a stray quote and a half-written row", "[bench_log]") {
  const Scratch scratch("log-stray");
  const LogMapping mapping = mapping_of({"T"}, "room");
  put(scratch / "s.csv", "t_s,T,room,T\n0,30,20,90\n");
  CHECK_THAT(refusal(scratch / "s.csv", mapping),
             ContainsSubstring("s.csv:1: found 2 columns 'T', allowed one of that name, or"));
  std::string log = "t_s,T,room\n";
  for (int k = 0; k < 100; ++k) {
    log += std::to_string(10 * k) + (k == 20 ? ",\"30" : k == 50 ? ",30\"" : ",30") + ",20\n";
  }
  put(scratch / "s.csv", log); // rows 21 to 51 of data are in lines 22 to 52
  const Reading stray = read(scratch / "s.csv", mapping);
  CHECK(stray.counts.bad == 31);
  CHECK(stray.counts.rows == 100);
  CHECK(stray.counts.used == 69);
  CHECK_THAT(stray.counts.bad_rows.at(0).why,
             ContainsSubstring("open from line 22 to line 52 hides 31 rows"));
  put(scratch / "s.csv", "t_s,T,room\n0,30,20\n60,31,20\n120,32,20\n180,33,2");
  const Reading half = read(scratch / "s.csv", mapping);
  CHECK(half.counts.used == 3);
  CHECK(half.counts.bad == 1);
  CHECK(half.counts.bad_rows.at(0).line == 5);
  CHECK_THAT(half.counts.bad_rows[0].why, ContainsSubstring("half-written"));
  put(scratch / "s.csv", "\"t_s,T,room\n0,30,20\n60,31,20\n120,32,20\n180,33,2\",T,room,t_s\n");
  CHECK_THAT(refusal(scratch / "s.csv", mapping), ContainsSubstring("s.csv:1: found a heading"));
}

TEST_CASE("Bench log: a last row without a line end counts where it is as long as the one before",
          "[bench_log]") {
  const Scratch scratch("log-end");
  struct End {
    const char* before; ///< rows above it, with their line ends
    const char* last;
    const char* why; ///< part of the reason for which it is left out; "": it is used
  };
  const std::vector<End> ends{
      {"0,30,20\n60,31,20\n120,32,20\n", "180,33,20", ""},
      {"0,30,20\n60,31,20\n120,32,20\n", "180,33,2", "shorter than '20'"},
      {"0,30,20\n60,31,20\n120,32,20\n", "180,33,", "shorter than '20'"},
      {"0,30,20\n60,31,20\n120,32,20\n", "180,33", "2 cells, the one before it 3"},
      {"0,30,20\n60,31,20\n120,32,20\n", "180", "1 cells, the one before it 3"},
      {"0,30,22.41\n60,31,22.43\n120,32,22.45\n", "180,33,22.4", "shorter than '22.45'"},
      {"0,30,22.41\n60,31,22.43\n120,32,22.45\n", "180,33,22.45", ""},
      {"0,30,22.4\n60,31,22.4\n120,32,22.4\n", "180,33,22.45", ""},
      {"0,30,20,\n60,31,20,\n120,32,20,\n", "180,33,20", "3 cells, the one before it 4"},
      {"0,30,20,\n60,31,20,\n120,32,20,\n", "180,33,20,", ""},
      {"0,30,\"20\"\n60,31,\"20\"\n120,32,\"20\"\n", "180,33,\"20", "a quote in it is open"},
      {"0,30,\"20\"\n60,31,\"20\"\n120,32,\"20\"\n", "180,33,\"20\"", ""},
  };
  for (const End& end : ends) {
    CAPTURE(end.before, end.last);
    put(scratch / "e.csv", std::string("t_s,T,room\n") + end.before + end.last);
    const Reading reading = read(scratch / "e.csv", mapping_of({"T"}, "room"));
    const bool is_used = std::string(end.why).empty();
    CHECK(reading.counts.rows == 4);
    CHECK(reading.counts.used == (is_used ? 4 : 3));
    CHECK(reading.counts.bad == (is_used ? 0 : 1));
    CHECK(reading.counts.notes.size() == (is_used ? 2 : 1));
    if (is_used) {
      CHECK_THAT(reading.counts.notes.back(),
                 ContainsSubstring("the last row (line 5) has no line end"));
    } else {
      CHECK(reading.counts.bad_rows.at(0).line == 5);
      CHECK_THAT(reading.counts.bad_rows[0].why, ContainsSubstring(end.why));
    }
  }
}

TEST_CASE("Bench log: empty, wide and header-only logs are refused with a line", "[bench_log]") {
  const Scratch scratch("log-none");
  const LogMapping mapping = mapping_of({"T"}, "room");
  put(scratch / "n.csv", "");
  CHECK_THAT(refusal(scratch / "n.csv", mapping), ContainsSubstring("n.csv:1: found an empty"));
  put(scratch / "n.csv", "made by a logger\nt_s,T,room\n");
  CHECK_THAT(refusal(scratch / "n.csv", mapping), ContainsSubstring("n.csv:2: found no row"));
  put(scratch / "n.csv", std::string("\xFF\xFEt\0", 4));
  CHECK_THAT(refusal(scratch / "n.csv", mapping), ContainsSubstring("n.csv:1: found UTF-16"));
  put(scratch / "n.csv", std::string("t\0_\0s\0,\0", 8)); // without a mark
  CHECK_THAT(refusal(scratch / "n.csv", mapping), ContainsSubstring("n.csv:1: found UTF-16"));
  CHECK_THAT(refusal("/dev/zero", mapping), ContainsSubstring("no regular file"));
}

} // namespace tiltfin::tests
