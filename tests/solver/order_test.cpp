#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "scan/model/errors.hpp"
#include "solver/allocate/order_file.hpp"
#include "solver/plan/board_size.hpp"

using namespace flitchwise;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kRounding = 1e-12;

solver::Order order_of(const std::string& text) {
  std::istringstream stream(text);
  return solver::read_order(stream, "o.csv");
}

std::string refusal(const std::string& text) {
  try {
    order_of(text);
  } catch (const InputError& error) {
    return error.what();
  }
  return "accepted";
}

void check_two_lines(const solver::Order& order) {
  REQUIRE(order.lines.size() == 2);
  CHECK(order.lines[0].target.name == "50x150x3000");
  CHECK_THAT(order.lines[0].target.width_m, WithinAbs(0.15, kRounding));
  CHECK(order.lines[0].quantity == 60);
  CHECK_THAT(order.lines[0].target.value, WithinAbs(9.5, kRounding));
  CHECK(order.lines[1].target.name == "22.5x100x2400");
  CHECK(order.lines[1].quantity == 4);
}

}  // namespace

TEST_CASE("the sample order is read with every column", "[order]") {
  const solver::Order order = solver::read_order(std::filesystem::path(FLITCHWISE_SAMPLES) / "order.csv");
  REQUIRE(order.lines.size() == 6);
  const solver::OrderLine& line = order.lines[1];
  CHECK(line.target.name == "50x150x3000");
  CHECK_THAT(line.target.value, WithinAbs(9.5, kRounding));
  CHECK(line.quantity == 60);
  CHECK(line.on_hand == 8);
  CHECK(line.needed() == 52);
  CHECK(line.priority == 2);
  CHECK(line.due == "2027-05-28");
  CHECK(line.use == "deck planks of the second bog section");
  CHECK(line.line == 3);
  CHECK(order.targets().size() == 6);
}

TEST_CASE("an order is read as spreadsheets of any kind write it", "[order]") {
  for (const std::string text : {
           "target,quantity,value\n50x150x3000,60,9.5\n22.5x100x2400,4,1\n",
           "target,quantity,value\r\n50x150x3000,60,9.5\r\n22.5x100x2400,4,1",
           "target,quantity,value\r50x150x3000,60,9.5\r22.5x100x2400,4,1\r",
           "\xEF\xBB\xBFtarget;quantity;value\n50x150x3000;60;9,5\n22.5x100x2400;4;\n",
           "\n\n Quantity , VALUE , Target \n,,\n60, 9.5 , 50 x 150 x 3000\n\n4,,22.5*100*2400\n\n",
           "\"target\",\"quantity\",value\n\"50x150x3000\",\"60\",\"9.5\"\n22.5x100x2400,4,\n",
           "thickness_mm,width_mm,length_mm,quantity,value\n50,150,3000,60,9.5\n22.5,100,2400,4,1\n",
           "length_mm;value;width_mm;thickness_mm;quantity\n3000;9,5;150;50;60\n2400;;100;22,5;4\n",
       }) {
    INFO(text);
    check_two_lines(order_of(text));
  }
}

TEST_CASE("quoted fields may hold separators, line ends and quotation marks", "[order]") {
  const solver::Order order = order_of(
      "target,quantity,use\n50x150x3000,1,\"deck, \"\"north\"\"\nand south\"\n50x100x3000,2,\"a;b\"\n");
  REQUIRE(order.lines.size() == 2);
  CHECK(order.lines[0].use == "deck, \"north\"\nand south");
  CHECK(order.lines[0].line == 2);
  CHECK(order.lines[1].use == "a;b");
  CHECK(order.lines[1].line == 4);  // the row before takes two lines
}

TEST_CASE("boards on hand count", "[order]") {
  const solver::Order order =
      order_of("target,quantity,on_hand\n50x150x3000,10,4\n50x100x3000,3,3\n50x50x3000,3,9\n");
  CHECK(order.lines[0].needed() == 6);
  CHECK(order.lines[1].needed() == 0);
  CHECK(order.lines[2].needed() == 0);
}

TEST_CASE("what is no order is refused with file, line and reason", "[order]") {
  struct Case {
    const char* text;
    const char* place;
    const char* reason;
  };
  const std::string good = "target,quantity\n50x150x3000,1\n";
  for (const auto& [text, place, reason] : std::vector<Case>{
           {"", "order file o.csv is empty", "first line must name the columns"},
           {"\n \n", "order file o.csv is empty", "for example"},
           {"target,quantity\n", "order file o.csv orders nothing", "no line after"},
           {"target,quantity,colour\n50x150x3000,1,red\n",
            "order file o.csv, line 1: ", "no column 'colour'"},
           {"target,quantity,\n50x150x3000,1,\n", "order file o.csv, line 1: ", "no column ''"},
           {"target,quantity,quantity\n50x150x3000,1,1\n",
            "order file o.csv, line 1: ", "quantity is there twice"},
           {"target,value\n50x150x3000,1\n", "order file o.csv, line 1: ", "quantity is missing"},
           {"quantity\n5\n", "order file o.csv, line 1: ", "as 50x150x3000, or in the three columns"},
           {"quantity,thickness_mm,width_mm\n5,50,150\n", "order file o.csv, line 1: ", "three columns"},
           {"target,width_mm,quantity\n50x150x3000,150,1\n", "order file o.csv, line 1: ", "either"},
           {"50x150x3000,12\n", "order file o.csv, line 1: ", "no column '50x150x3000'"},
           {"target,quantity\n50x150,1\n", "order file o.csv, line 2: ", "no board size"},
           {"target,quantity\n,1\n", "order file o.csv, line 2: ", "no board size"},
           {"target,quantity\n50x150x3000=4,1\n", "order file o.csv, line 2: ", "column value"},
           {"target,quantity\n50x150x300000,1\n", "order file o.csv, line 2: ", "length is 300000 mm"},
           {"thickness_mm,width_mm,length_mm,quantity\n50,-150,3000,1\n",
            "order file o.csv, line 2: ", "-150"},
           {"thickness_mm,width_mm,length_mm,quantity\n50,,3000,1\n",
            "order file o.csv, line 2: ", "width_mm is ''"},
           {"target,quantity\n50x150x3000,\n", "order file o.csv, line 2: ", "whole number"},
           {"target,quantity\n50x150x3000,0\n", "order file o.csv, line 2: ", "quantity is 0"},
           {"target,quantity\n50x150x3000,-3\n", "order file o.csv, line 2: ", "quantity is -3"},
           {"target,quantity\n50x150x3000,2.5\n", "order file o.csv, line 2: ", "'2.5', but must be a whole"},
           {"target,quantity\n50x150x3000,ten\n", "order file o.csv, line 2: ", "'ten', but must be a whole"},
           {"target,quantity\n50x150x3000,99999999999\n", "order file o.csv, line 2: ", "whole number"},
           {"target,quantity\n50x150x3000,100001\n", "order file o.csv, line 2: ", "between 1 and 100000"},
           {"target,quantity,on_hand\n50x150x3000,3,-1\n", "order file o.csv, line 2: ", "on_hand is -1"},
           {"target,quantity,priority\n50x150x3000,3,0\n", "order file o.csv, line 2: ", "priority is 0"},
           {"target,quantity,priority\n50x150x3000,3,high\n",
            "order file o.csv, line 2: ", "priority is 'high'"},
           {"target,quantity,value\n50x150x3000,3,-4\n", "order file o.csv, line 2: ", "value is -4"},
           {"target,quantity,value\n50x150x3000,3,nan\n",
            "order file o.csv, line 2: ", "value is 'nan', which is no number"},
           {"target,quantity,value\n50x150x3000,3,4 EUR\n",
            "order file o.csv, line 2: ", "'4 EUR', which is no number"},
           {"target,quantity,due\n50x150x3000,3,14.5.2027\n",
            "order file o.csv, line 2: ", "'14.5.2027', but must be a date"},
           {"target,quantity,due\n50x150x3000,3,2027-02-29\n",
            "order file o.csv, line 2: ", "must be a date"},
           {"target,quantity,due\n50x150x3000,3,2027-05-1x\n",
            "order file o.csv, line 2: ", "must be a date"},
           {"target,quantity\n50x150x3000,3\n50x100x3000,3,7\n", "order file o.csv, line 3: ", "3 fields"},
           {"target,quantity\n50x150x3000,3\n50x100x3000\n", "order file o.csv, line 3: ", "1 fields"},
           {"target,quantity\n50x150x3000,3\n\n50.0x150x3e3,3\n",
            "order file o.csv, line 4: ", "on line 2 already"},
           {"target,quantity,use\n50x150x3000,3,\"open\n50x100x3000,3,x\n",
            "order file o.csv, line 2: ", "not closed"},
           {"target,quantity,use\n50x150x3000,3,2\" deck\n", "order file o.csv, line 2: ", "quotation mark"},
       }) {
    INFO(text);
    const std::string said = refusal(text);
    CHECK_THAT(said, StartsWith(place));
    CHECK_THAT(said, Contains(reason));
  }
  CHECK(refusal(good) == "accepted");
}

TEST_CASE("a file that is no text, or far too large, is refused", "[order]") {
  CHECK_THAT(refusal(std::string("PK\x03\x04\0\0", 6)), Contains("save the table as CSV"));
  CHECK_THAT(refusal(std::string(2 << 20, 'x')), Contains("larger than 1 MB"));
  CHECK_THROWS_WITH(solver::read_order(std::filesystem::path("/nowhere/order.csv")),
                    Contains("/nowhere/order.csv cannot be opened"));
  CHECK_THROWS_WITH(solver::read_order(std::filesystem::path("/")), Contains("cannot be opened"));
}

TEST_CASE("an order has at most as many sizes as can be planned at once", "[order]") {
  std::string text = "target,quantity\n";
  for (std::size_t i = 0; i < solver::kMostTargets; ++i) {
    text += "50x150x" + std::to_string(1000 + i) + ",1\n";
  }
  CHECK(order_of(text).lines.size() == solver::kMostTargets);
  CHECK_THAT(refusal(text + "50x150x900,1\n"),
             StartsWith("order file o.csv, line 62: an order may have at most 60"));
}

TEST_CASE("an order that a program makes is checked, too", "[order]") {
  solver::Order order;
  CHECK_THROWS_WITH(solver::check(order), Contains("no lines"));
  order.lines = {{solver::board_size("50x150x3000"), 4}, {solver::board_size("50x100x3000"), 2}};
  CHECK_NOTHROW(solver::check(order));
  SECTION("size twice") {
    order.lines.push_back(order.lines.front());
    CHECK_THROWS_WITH(solver::check(order), Contains("50x150x3000 twice"));
  }
  SECTION("quantity") {
    order.lines[1].quantity = 0;
    CHECK_THROWS_WITH(solver::check(order), Contains("order of 50x100x3000: quantity is 0"));
  }
  SECTION("date") {
    order.lines[1].due = "soon";
    CHECK_THROWS_WITH(solver::check(order), Contains("due is 'soon'"));
  }
  SECTION("size") {
    order.lines[1].target.width_m = -1;
    CHECK_THROWS_WITH(solver::check(order), Contains("width"));
  }
}
