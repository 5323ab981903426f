# `cmake --install build/release`: the command, its plugin, data, man page and completions.
include(GNUInstallDirs)
if(TARGET etchback)
    install(TARGETS etchback RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
endif()
if(TARGET etchback_paper)
    install(TARGETS etchback_paper LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}/etchback)
endif()
install(DIRECTORY data/ DESTINATION ${CMAKE_INSTALL_DATADIR}/etchback/data)
install(FILES docs/etchback.1 DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES completions/etchback.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions
        RENAME etchback)
install(FILES completions/_etchback DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
install(FILES completions/etchback.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
