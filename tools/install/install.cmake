# The installed tree: the program, the libraries with their public headers, and a package for find_package(flitchwise).
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

set(libraries log_model scan solver page report plan yard)
foreach(library IN LISTS libraries)
  set_target_properties(flitchwise_${library} PROPERTIES EXPORT_NAME ${library})
endforeach()
set_target_properties(flitchwise_flags PROPERTIES EXPORT_NAME flags) # what the libraries were linked with
list(TRANSFORM libraries PREPEND flitchwise_)
install(TARGETS flitchwise ${libraries} flitchwise_flags EXPORT flitchwise-targets)

# Public headers only. Those of the libraries in tools/ include each other by folder.
install(DIRECTORY scan/include/flitchwise scan/model/flitchwise solver/include/flitchwise tools/include/flitchwise
        DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}
        FILES_MATCHING PATTERN "*.hpp" PATTERN "csv_rows.hpp" EXCLUDE)
set(public_in_tools plan/model_log plan/plan_log plan/setup_request report/advice report/report
    yard/content_hash yard/log_job yard/workers yard/yard)
foreach(header IN LISTS public_in_tools)
  get_filename_component(folder ${header} DIRECTORY)
  install(FILES tools/${header}.hpp DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/flitchwise/tools/${folder})
endforeach()

# Kits to copy, an order and a scan to try, the schema of plan.json, the script for a cluster.
install(DIRECTORY sample-scans DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise
        FILES_MATCHING PATTERN "*.toml" PATTERN "*.csv" PATTERN "*.ply")
install(FILES tools/plan.schema.json DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise)
install(PROGRAMS tools/cluster/yard_slurm.sh DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise)
install(FILES LICENSE README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/flitchwise)
install(EXPORT flitchwise-targets NAMESPACE flitchwise:: DESTINATION ${package_dir})
configure_package_config_file(tools/install/flitchwise-config.cmake.in ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config.cmake
                              INSTALL_DESTINATION ${package_dir} PATH_VARS CMAKE_INSTALL_DATADIR)
# Before 1.0 a minor version may change what a program sees.
write_basic_package_version_file(${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config-version.cmake
                                 COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config.cmake
              ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config-version.cmake DESTINATION ${package_dir})
