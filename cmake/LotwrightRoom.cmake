# lotwright_room(<name> SOURCES … [TESTS …] [ROOMS …] [LIBRARIES …])
#
# A room is one static library `lotwright_<name>` under src/<name>/. ROOMS are its arrows to other
# rooms (architecture.md); LIBRARIES are outside libraries. TESTS stand beside the code as
# `x_test.cpp` and become the one executable `<name>_test`.
function(lotwright_room name)
  cmake_parse_arguments(ROOM "" "" "SOURCES;TESTS;ROOMS;LIBRARIES" ${ARGN})
  add_library(lotwright_${name} STATIC ${ROOM_SOURCES})
  target_link_libraries(lotwright_${name} PRIVATE lotwright_options)
  target_include_directories(lotwright_${name} PUBLIC "${CMAKE_SOURCE_DIR}/src")
  foreach(room IN LISTS ROOM_ROOMS)
    target_link_libraries(lotwright_${name} PUBLIC lotwright_${room})
  endforeach()
  target_link_libraries(lotwright_${name} PUBLIC ${ROOM_LIBRARIES})
  if(LOTWRIGHT_TESTS AND ROOM_TESTS)
    lotwright_test(${name}_test SOURCES ${ROOM_TESTS} LIBRARIES lotwright_${name})
  endif()
endfunction()

# lotwright_test(<name> SOURCES … LIBRARIES … [LABELS …] [TIMEOUT seconds])
function(lotwright_test name)
  cmake_parse_arguments(TEST "" "TIMEOUT" "SOURCES;LIBRARIES;LABELS" ${ARGN})
  if(NOT TEST_LABELS)
    set(TEST_LABELS unit)
  endif()
  if(NOT TEST_TIMEOUT)
    set(TEST_TIMEOUT 300)
  endif()
  add_executable(${name} ${TEST_SOURCES})
  target_link_libraries(${name} PRIVATE lotwright_options ${TEST_LIBRARIES} GTest::gmock GTest::gtest_main)
  target_compile_definitions(${name} PRIVATE
    LOTWRIGHT_SOURCE_DIR="${CMAKE_SOURCE_DIR}" LOTWRIGHT_BINARY_DIR="${CMAKE_BINARY_DIR}")
  gtest_discover_tests(${name} DISCOVERY_MODE PRE_TEST
    PROPERTIES LABELS "${TEST_LABELS}" TIMEOUT ${TEST_TIMEOUT})
endfunction()
